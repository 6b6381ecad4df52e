// Still pictures out of a clip, for pages that cannot play it.
#pragma once

#include <filesystem>
#include <span>
#include <string>
#include <vector>

#include "sondeline/footage.hpp"

namespace sondeline {

struct Still {
    double time_s = 0.0;  // from the clip's first frame, of the picture shown
    std::string jpeg;     // at most 480 pixels across, square pixels
};

// The first frame at or after each of `times_s`, which rise, within half a second of it. Seeks to
// the key frame before each and decodes from there, at most a minute's worth of frames; on one
// thread, and the same bytes for the same clip. `as_read` is what reading the whole clip found:
// where the file's own length is another, its time line is broken, no time can be sought in it, and
// there are no stills. Fewer stills than times where frames are missing or damaged.
std::vector<Still> take_stills(const std::filesystem::path& clip, const ClipDescription& as_read,
                               std::span<const double> times_s);

}  // namespace sondeline
