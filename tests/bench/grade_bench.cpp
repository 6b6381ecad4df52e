// How grading does on invented runs: cover of its bounds, false bellies, the promise of the
// smallest sag shown, ponds found with and without still water, CPU time, and the slopes once more
// where several runs stand on one site.
//
//   grade_bench [runs per case, default 300] [first seed, default 0; to tune 1000000]
//
// Half of the runs lie and are measured as grading imagines it, half know nothing of that
// (field_run.hpp); both are printed. What a straight run says is cheap: of those there are twice as
// many.

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <ctime>

#include <fmt/format.h>

#include "bench/grade_ponds.hpp"
#include "bench/grade_power.hpp"
#include "bench/grade_sites.hpp"

using namespace sondeline;
using bench::Half;
using bench::KnownRun;
using bench::Seeds;
using bench::share;

namespace {

constexpr double kMostFalseAlarms = 0.05;
constexpr double kLeastCovered = 0.93;
constexpr double kMostCovered = 0.97;

struct Case {
    const char* name;
    made::Survey survey;
    InclinationSign sign = InclinationSign::not_said;

    GradeOptions options() const {
        GradeOptions levelled = made::levelled();
        levelled.inclination_sign = sign;
        return levelled;
    }
};

std::vector<Case> cases() {
    made::Survey usual;
    usual.constant_sd_m = 0.03;
    usual.proportion_sd = 0.03;
    made::Survey taped = usual;
    taped.taped_start = taped.taped_end = true;
    made::Survey dense = taped;
    dense.spacing_m = 0.75;
    made::Survey fine = dense;
    fine.depth_sd_m = 0.01;
    fine.constant_sd_m = fine.proportion_sd = 0.01;
    made::Survey gross = taped;
    gross.gross_share = 0.05;
    made::Survey level = taped;
    level.level = true;
    return {
        {"locator each 1.5 m, 5 cm", usual},
        {"the same, both ends taped", taped},
        {"the same, 5 % of the depths off by 20 to 50 cm", gross},
        {"locator each 0.75 m, 5 cm, taped", dense},
        {"each 0.75 m, 1 cm, taped", fine},
        {"locator each 1.5 m, taped, camera's level", level, InclinationSign::downhill_positive},
        {"the same, its sign not said", level}};
}

struct Tally {
    int runs = 0;
    int slopes = 0;
    int slopes_covered = 0;
    int points = 0;
    int points_covered = 0;
    int belly_rows = 0;
    int suspected = 0;
    int dips = 0;
    int cut = 0;
    int false_alarms = 0;
    std::vector<double> cpu_ms;
};

Profiles timed(const KnownRun& run, const GradeOptions& options, Tally& tally) {
    const std::clock_t begin = std::clock();
    Profiles profiles = grade_lines(run.lines, options);
    tally.cpu_ms.push_back(1000.0 * static_cast<double>(std::clock() - begin) / CLOCKS_PER_SEC);
    return profiles;
}

int count(const Profiles& profiles, const char* words) {
    return static_cast<int>(std::ranges::count_if(profiles.findings, [&](const Finding& finding) {
        return finding.what.find(words) != std::string::npos;
    }));
}

Tally straight_runs(const Case& each, Half half, const Seeds& seeds) {
    Tally tally;
    for (int seed = seeds.first; seed < seeds.first + seeds.runs; ++seed) {
        const KnownRun run =
            bench::make_known_run(half, bench::random_pipe(seed), each.survey, seed);
        const Profiles profiles = timed(run, each.options(), tally);
        const GradedRun& graded = profiles.runs.front();
        ++tally.runs;
        tally.belly_rows += static_cast<int>(graded.bellies.size());
        tally.suspected += count(profiles, "is suspected");
        tally.dips += std::min(1, count(profiles, "dips about"));
        tally.false_alarms += bench::false_alarm(profiles, run.gross) ? 1 : 0;
        tally.cut += graded.stretches.size() > 1 ? 1 : 0;
        if (graded.slope) {
            ++tally.slopes;
            const double error = std::abs(graded.slope->value - run.slope());
            tally.slopes_covered += error <= 1.96 * graded.slope->sd ? 1 : 0;
        }
        for (const ProfilePoint& point : graded.profile) {
            const double truth = run.invert_m(point.station_m);
            ++tally.points;
            tally.points_covered += point.z_m.lo95 <= truth && truth <= point.z_m.hi95 ? 1 : 0;
        }
    }
    return tally;
}

void print_straight(Tally tally) {
    std::ranges::sort(tally.cpu_ms);
    const double covered = share(tally.slopes_covered, tally.slopes);
    fmt::print(
        "    {} straight runs: slope given {:.2f}, bounds cover {:.3f}; {:.2f} to {:.2f}: {}; "
        "invert bounds cover {:.3f}\n",
        tally.runs, share(tally.slopes, tally.runs), covered, kLeastCovered, kMostCovered,
        bench::verdict(kLeastCovered <= covered && covered <= kMostCovered),
        share(tally.points_covered, tally.points));
    fmt::print(
        "    false per run: belly rows {:.3f}, suspected {:.3f}, dips {:.3f}, cut stretches "
        "{:.3f}\n",
        share(tally.belly_rows, tally.runs), share(tally.suspected, tally.runs),
        share(tally.dips, tally.runs), share(tally.cut, tally.runs));
    const double alarms = share(tally.false_alarms, tally.runs);
    fmt::print(
        "    runs with a false alarm of any of these or of a depth too deep: {:.3f}; at most "
        "{:.2f}: {}\n",
        alarms, kMostFalseAlarms, bench::verdict(alarms <= kMostFalseAlarms));
    fmt::print("    CPU per run: median {:.1f} ms, p95 {:.1f} ms, worst {:.1f} ms\n",
               tally.cpu_ms[tally.cpu_ms.size() / 2], tally.cpu_ms[tally.cpu_ms.size() * 95 / 100],
               tally.cpu_ms.back());
}

}  // namespace

int main(int argc, char** argv) {
    Seeds seeds;
    if (argc > 1) seeds.runs = std::max(1, std::atoi(argv[1]));
    if (argc > 2) seeds.first = std::max(0, std::atoi(argv[2]));
    const Seeds straight = seeds;
    seeds.runs = (seeds.runs + 1) / 2;
    for (const Case& each : cases()) {
        for (const Half half : {Half::imagined, Half::field}) {
            fmt::print("{}, {} half\n", each.name, half == Half::field ? "second" : "first");
            const bench::SagCase sags{each.survey, each.options(), half};
            print_straight(straight_runs(each, half, straight));
            bench::print_sites(sags, straight);
            bench::print_power(sags, seeds);
            bench::print_ponds(sags, seeds);
            std::fflush(stdout);
        }
    }
    return 0;
}
