// Pushes whose fixes are given by clock, with a camera's clock that is off by a known time.
#pragma once

#include "made/noise.hpp"
#include "small_sites.hpp"

namespace sondeline::made {

// A push with stops: where the head is `time_s` after the start of the footage. 0.2 m/s, and at
// every whole multiple of 3 m it stands for 15 s.
inline double stop_and_go_m(double time_s) {
    constexpr double leg_s = 15.0;
    const double legs = std::floor(time_s / (2.0 * leg_s));
    return 3.0 * legs + 0.2 * std::min(time_s - legs * 2.0 * leg_s, leg_s);
}

inline double steady_m(double time_s) {
    return 0.1 * time_s;
}

struct Push {
    double (*at_m)(double time_s) = stop_and_go_m;
    double length_m = 24.0;
    double ahead_s = 0.0;  // of the camera's clock
    double fix_sd_m = 0.05;
    bool start_known = true;
    std::string reel;
    std::vector<double> seen_s;  // true times since the start of the footage, of each fix
};

inline const Legs bent({10.0, 20.0}, {{0.0, 40.0 * deg}, {10.0, 100.0 * deg}});

// Adds a run with fixes given by clock, along the bent pipe.
inline void push_along(const Push& push, const std::string& id, SmallSite& job) {
    std::optional<int> tank;
    if (push.start_known) {
        tank = job.structure("tank " + id, StructureKind::tank, bent.at(0.0), 0.02);
    }
    SiteRun& run = job.run(id, tank, std::nullopt, push.length_m);
    run.reel = push.reel;
    const int index = static_cast<int>(job.site.runs.size()) - 1;
    const std::size_t first = job.site.fixes.size();
    Noise noise(11);
    const auto shown_m = [&](double time_s) -> std::optional<double> {
        const double x_m = push.at_m(time_s);
        if (time_s < 0.0 || x_m > push.length_m) return std::nullopt;
        return x_m;
    };
    for (const double true_s : push.seen_s) {
        PlanPoint at = bent.at(push.at_m(true_s));
        at.e_m += noise.normal(push.fix_sd_m);
        at.n_m += noise.normal(push.fix_sd_m);
        // With a camera ahead, its clock gave a later start of the footage than was true.
        const double counted_s = true_s - push.ahead_s;
        SiteFix& fix = job.fix(index, 0.0, at, push.fix_sd_m);
        fix.depth_m = Estimate{0.8, 0.05};
        for (int i = -150; i <= 150; ++i) {
            fix.clock_course.x_m.push_back(shown_m(counted_s + 2.0 * i));
        }
        const auto x_m = shown_m(counted_s);
        fix.placing = x_m ? FixPlacing::by_clock : FixPlacing::unplaced;
        fix.x_m = x_m.value_or(0.0);
        if (!x_m) fix.why_unplaced = "the counter was not read at that time of the footage";
    }
    for (std::size_t i = first; i < job.site.fixes.size(); ++i) {
        const auto row = depth_row(job.site.fixes[i], static_cast<int>(i));
        if (row) run.vertical.push_back(*row);
    }
}

inline SmallSite clocked_job(const Push& push) {
    SmallSite job;
    push_along(push, "L1", job);
    return job;
}

// Within the stops of stop_and_go_m.
inline const std::vector<double> at_stops{20.0, 52.0, 85.0, 110.0, 141.0, 175.0, 203.0};

}  // namespace sondeline::made
