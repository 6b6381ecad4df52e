// Where the counter and the picture tell different stories: the counter runs while the picture
// stands still (the cable slips on the wheel, or coils up), or the picture moves while the counter
// stands (the wheel does not turn).
#pragma once

#include <span>
#include <vector>

#include "sondeline/footage.hpp"

namespace sondeline {

struct Disagreement {
    double from_s = 0.0;
    double to_s = 0.0;
    bool counter_runs = false;  // while the picture stands still; else the other way round
    double counted = 0.0;       // change of the counter meanwhile, in its unit
};

// `motion` of the picture at each of `times_s` (negative: not known), as the samples of the track
// have it. Judged second by second against how much the picture moves in this clip when the counter
// runs and when it stands; empty when the two cannot be told apart (a camera that always shakes, a
// head that never rests).
std::vector<Disagreement> disagreements(const Track& track, std::span<const double> times_s,
                                        std::span<const float> motion);

// Says where to look, two places of either kind at most, the longest first.
void tell_of_disagreements(std::span<const Disagreement> disagreements, Track& track);

}  // namespace sondeline
