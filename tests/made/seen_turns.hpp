// What footage shows of the bends of an invented job: most of the sharp ones as sudden turns of the
// picture, and a few turns where there is none. As measured on rendered footage
// (docs/passing-marks.md), where fittings turn by 22.5° and more: 12 of 15 were found, within 0.4
// m, and 7 turns told that were not there in about 260 m of pipe.
#pragma once

#include "made/random_jobs.hpp"

namespace sondeline::made {

struct SeenTurns {
    double found = 0.8;  // of bends from sharp_rad on
    double sharp_rad = 20.0 * std::numbers::pi / 180.0;
    double within_m = 0.2;  // standard deviation
    double false_per_m = 0.027;
    double told_there = 12.0 / 19.0;
};

inline void see_turns(RandomJob& job, std::uint64_t seed, const SeenTurns& seen = {}) {
    Dice dice(0x7E57000000ULL + seed);
    for (std::size_t r = 0; r < job.pipes.size(); ++r) {
        const TruePipe& pipe = job.pipes[r];
        std::vector<LikelyBend>& likely = job.site.runs[r].likely_bends;
        const auto see = [&](double x_m) {
            likely.push_back({x_m, seen.within_m, seen.told_there, false});
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
