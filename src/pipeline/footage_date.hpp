// The day of a job whose tables do not say it: that of its newest footage.
#pragma once

#include "sondeline/pipeline.hpp"

#include "intake/from_footage.hpp"

namespace sondeline {

// What one clip tells of the day on which it was recorded.
struct ClipDay {
    std::string clip;
    std::string shown;                   // by the clock in its picture, "2026-05-14"; empty: none
    std::optional<double> made_since_s;  // as the file says, seconds since 1970 UTC
};

std::vector<ClipDay> clip_days(const std::vector<Track>& tracks);

// The newest day of the footage, when the tables give none. A date in a picture goes before that of
// a file, which may be in another zone. No date when the tables have one or no clip tells.
FromFootage footage_day(const JobSettings& settings, const std::vector<ClipDay>& clips);

// A finding for each day other than the job's that clocks in the pictures show, naming the clips.
// The job's day is that of its tables, else `day`.
Findings tell_other_days(const JobSettings& settings, const std::vector<ClipDay>& clips,
                         const FromFootage& day);

}  // namespace sondeline
