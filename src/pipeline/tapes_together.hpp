// Taped inverts of a whole site that lie above or below its depths, all alike.
#pragma once

#include "sondeline/grade.hpp"

namespace sondeline {

struct TapesTogether {
    double above_m = 0.0;  // of the grade of the depths; below where it is negative
    double reach_m = 0.0;  // how far down from what was taped the inverts may lie; up if negative
};

// Of four taped ends at least, on two runs and at two structures, that agree with one another:
// whether they lie further from the depths than what one locator's depths share explains, 3 cm and
// 3 % of the depth (common practice, no source), or rather one bore above them. Adds a finding.
// Whether tapes or locator are off cannot be told; slopes between two tapes do not hang on it.
std::optional<TapesTogether> doubt_tapes_together(LengthUnit unit, Lines& lines);

// The bounds of the inverts and depths of every run with a taped end, so that they hold both; and
// of the slope of one that is taped at one end only. A verdict that they no longer bear is taken
// back.
void reach_both(const TapesTogether& together, const Lines& lines, Profiles& profiles);

}  // namespace sondeline
