// One pass over a clip, or over a part of it: every line of overlay text is watched.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "footage/line_watch.hpp"
#include "footage/water/water_look.hpp"

namespace sondeline {

struct SpanReading {
    std::string why_not;  // the file could not be opened; else empty
    std::string what_to_do;
    std::vector<double> times_s;    // of the samples looked at
    std::vector<float> motion;      // of the picture, at each of them (LineCrop::picture_motion)
    std::vector<double> damaged_s;  // of samples left out because the picture is damaged
    std::vector<WatchedLine> lines;
    std::vector<WaterLook> water;  // empty when not asked for
    FrameReport report;            // of the frames up to the end of the span
};

SpanReading read_span(const std::filesystem::path& clip, const TimeSpan& span,
                      const ReadOptions& options, const ReadProgress& progress);

}  // namespace sondeline
