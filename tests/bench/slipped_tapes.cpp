// What grading says of a run with one taped invert that is off, which nothing else of it is: how
// often the bounds of its slope hold the truth, and its verdict is wrong; beside the same runs with
// sound tapes.
//
//   slipped_tapes [runs per figure, default 300] [first seed, default 0; to tune 1000000]
//
// The runs are those of grade_bench, in both halves. The tape at the start or the end, in turn, is
// off by the bore (held to the top of the pipe) or by half of it, either way.
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>

#include <fmt/format.h>

#include "bench/known_run.hpp"

using namespace sondeline;
using bench::Half;
using bench::Seeds;
using bench::share;

namespace {

struct Case {
    Half half = Half::imagined;
    double spacing_m = 1.5;
    double depth_sd_m = 0.05;
    double off_m = 0.0;
};

void slip(AlignedRun& run, double off_m, int seed) {
    const VerticalKind end = seed % 2 == 0 ? VerticalKind::taped_start : VerticalKind::taped_end;
    for (StationedVertical& seen : run.vertical) {
        if (seen.row.kind == end) seen.row.depth_m.value += seed % 4 < 2 ? off_m : -off_m;
    }
}

// A verdict that the slope as it lies contradicts.
bool judged_wrongly(const GradedRun& graded, double slope) {
    return std::ranges::any_of(graded.stretches, [&](const Stretch& stretch) {
        if (!stretch.minimum_slope) return false;
        const bool meets = slope >= *stretch.minimum_slope;
        return (stretch.verdict == SlopeVerdict::meets && !meets) ||
               (stretch.verdict == SlopeVerdict::below && meets);
    });
}

void print(const Case& each, const Seeds& seeds) {
    made::Survey survey;
    survey.spacing_m = each.spacing_m;
    survey.depth_sd_m = each.depth_sd_m;
    survey.constant_sd_m = survey.proportion_sd = 0.03;
    survey.taped_start = survey.taped_end = true;
    int given = 0;
    int covered = 0;
    int wrong = 0;
    int named = 0;
    double width = 0.0;
    for (int seed = seeds.first; seed < seeds.first + seeds.runs; ++seed) {
        bench::KnownRun known =
            bench::make_known_run(each.half, bench::random_pipe(seed), survey, seed);
        slip(known.lines.runs.front(), each.off_m, seed);
        const Profiles profiles = grade_lines(known.lines, made::levelled());
        const GradedRun& graded = profiles.runs.front();
        named += made::any_finding(profiles, "taped at") ? 1 : 0;
        wrong += judged_wrongly(graded, known.slope()) ? 1 : 0;
        if (!graded.slope) continue;
        ++given;
        width += normal_95 * graded.slope->sd;
        covered += std::abs(graded.slope->value - known.slope()) <= normal_95 * graded.slope->sd;
    }
    fmt::print(
        "  off by {:>4.1f} cm: slope given {:.3f}, of those within bounds {:.3f}, half width "
        "{:.2f} %; wrong verdict {:.3f}; tape named {:.3f}\n",
        100.0 * each.off_m, share(given, seeds.runs), share(covered, given),
        given > 0 ? 100.0 * width / given : 0.0, share(wrong, seeds.runs),
        share(named, seeds.runs));
}

}  // namespace

int main(int argc, char** argv) {
    Seeds seeds;
    if (argc > 1) seeds.runs = std::max(1, std::atoi(argv[1]));
    if (argc > 2) seeds.first = std::max(0, std::atoi(argv[2]));
    for (const Half half : {Half::imagined, Half::field}) {
        for (const double spacing_m : {0.75, 1.5, 3.0}) {
            for (const double depth_sd_m : {0.02, 0.05}) {
                fmt::print("{} half, a depth each {} m, {:.0f} cm\n",
                           half == Half::field ? "second" : "first", spacing_m, 100.0 * depth_sd_m);
                for (const double off_m : {0.0, 0.5 * made::bore_m, made::bore_m}) {
                    print({half, spacing_m, depth_sd_m, off_m}, seeds);
                }
                std::fflush(stdout);
            }
        }
    }
    return 0;
}
