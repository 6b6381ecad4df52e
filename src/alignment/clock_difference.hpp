// By how much the clocks of receiver and camera differ, told from the fixes that clocks placed. A
// camera goes with its reel, so that every reel has a clock; the receivers are taken to keep one
// time, which satellites give them.
#pragma once

#include "sondeline/alignment.hpp"

namespace sondeline::alignment {

// Station of a fix given by clock for a camera clock `ahead_s` ahead of the receiver's, linear
// between the steps of its course; empty where no counter was read, or outside the run.
std::optional<double> station_by_clock(const Site& site, const SiteFix& fix, double ahead_s);

struct ClockDifference {
    enum class Verdict {
        too_few,      // fixes placed by clock that move along a run
        agree,        // as far as the fixes can tell
        differ,       // by `ahead_s`
        cannot_tell,  // the fixes do not fit as they are, and more than one difference would
                      // explain it
    };
    Verdict verdict = Verdict::too_few;
    double ahead_s = 0.0;  // camera less receiver
    double sd_s = 0.0;
    int fixes = 0;
};

// Adjusts the runs of one reel with such fixes for clocks up to five minutes apart. Each difference
// is scored as rival models are (score.hpp), plus (Δ/60 s)² for its own improbability (common
// practice, no source), plus what an outlier costs for each fix that it leaves without a station.
// The best is taken when it beats equal clocks by more than 9, and so does no other minimum that
// puts a fix more than 0.5 m elsewhere. Its error, common to all these fixes, then widens each
// one's station.
ClockDifference clock_difference(const Site& site, const std::string& reel);

}  // namespace sondeline::alignment
