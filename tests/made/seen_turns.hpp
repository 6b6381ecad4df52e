// What footage shows of the bends of an invented job: two thirds of the sharp ones as sudden turns
// of the picture, and now and then a turn where there is none. As measured on rendered footage
// (docs/passing-marks.md), where fittings turn by 22.5° and more: 24 of 35 were found, 5 cm off
// (rms), and none of the 24 turns told were not there, in some 500 m of pipe.
#pragma once

#include "made/random_jobs.hpp"

namespace sondeline::made {

struct SeenTurns {
    double found = 24.0 / 35.0;  // of bends from sharp_rad on
    double sharp_rad = 20.0 * std::numbers::pi / 180.0;
    double within_m = 0.053;  // standard deviation
    double false_per_m = 1.0 / 500.0;
    // As they reach the adjustment (src/survey/likely_bends.cpp).
    double stated_sd_m = 0.1;
    double stated_probability = 0.65;
};

inline void see_turns(RandomJob& job, std::uint64_t seed, const SeenTurns& seen = {}) {
    Dice dice(0x7E57000000ULL + seed);
    for (std::size_t r = 0; r < job.pipes.size(); ++r) {
        const TruePipe& pipe = job.pipes[r];
        std::vector<LikelyBend>& likely = job.site.runs[r].likely_bends;
        const auto see = [&](double x_m) {
            likely.push_back({x_m, seen.stated_sd_m, seen.stated_probability, false});
        };
        for (const TrueBend& bend : pipe.bends) {
            if (std::abs(bend.angle_rad) < seen.sharp_rad || !dice.chance(seen.found)) continue;
            see(pipe.counter_at(bend.s_m) + dice.normal(seen.within_m));
        }
        const auto way_m = [&] {
            return -std::log(1.0 - dice.uniform(0.0, 1.0)) / seen.false_per_m;
        };
        for (double x = way_m(); x < pipe.length_m; x += way_m()) see(x);
        std::sort(likely.begin(), likely.end(),
                  [](const LikelyBend& a, const LikelyBend& b) { return a.x_m < b.x_m; });
    }
}

}  // namespace sondeline::made
