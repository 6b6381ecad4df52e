// How grading does on invented runs: cover of its bounds, false bellies, the promise of the
// smallest sag shown, ponds found with and without still water, and CPU time.
//
//   grade_bench [runs per case, default 300] [first seed, default 0; to tune 1000000]

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <ctime>

#include <fmt/format.h>

#include "grade/made_run.hpp"
#include "grade/normal.hpp"
#include "grade/ponding.hpp"
#include "grade/sampling.hpp"
#include "grade_power.hpp"

using namespace sondeline;
using bench::random_pipe;
using bench::Seeds;

namespace {

constexpr double kMostFalseAlarms = 0.05;

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

double deepest_pond_m(const made::Pipe& pipe) {
    Eigen::VectorXd z(2001);
    for (Eigen::Index i = 0; i < z.size(); ++i) {
        z(i) = made::invert_m(pipe, pipe.length_m * static_cast<double>(i) / 2000.0);
    }
    return grade::ponded_depth_m(z, grade::Downstream::at_end).maxCoeff();
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

Profiles timed(const made::Run& run, const GradeOptions& options, Tally& tally) {
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

Tally straight_runs(const Case& each, const Seeds& seeds) {
    Tally tally;
    for (int seed = seeds.first; seed < seeds.first + seeds.runs; ++seed) {
        const made::Run run = made::make_run(random_pipe(seed), each.survey, seed);
        const Profiles profiles = timed(run, each.options(), tally);
        const GradedRun& graded = profiles.runs.front();
        ++tally.runs;
        tally.belly_rows += static_cast<int>(graded.bellies.size());
        tally.suspected += count(profiles, "is suspected");
        tally.dips += std::min(1, count(profiles, "dips about"));
        tally.false_alarms += bench::false_alarm(profiles, run) ? 1 : 0;
        tally.cut += graded.stretches.size() > 1 ? 1 : 0;
        if (graded.slope) {
            ++tally.slopes;
            const double error = std::abs(graded.slope->value - made::bedded_slope(run));
            tally.slopes_covered += error <= 1.96 * graded.slope->sd ? 1 : 0;
        }
        for (const ProfilePoint& point : graded.profile) {
            const double truth = made::bedded_invert_m(run, point.station_m);
            ++tally.points;
            tally.points_covered += point.z_m.lo95 <= truth && truth <= point.z_m.hi95 ? 1 : 0;
        }
    }
    return tally;
}

// Ponds of 3 cm and more whose shores are seen in the footage.
void print_still_water(const Case& each, const Seeds& seeds) {
    int ponds = 0;
    int likely = 0;
    int depth_covered = 0;
    int volume_covered = 0;
    std::vector<double> volume_errors;
    for (int seed = seeds.first; seed < seeds.first + seeds.runs; ++seed) {
        made::Pipe pipe = random_pipe(seed);
        grade::Draws place("pond " + std::to_string(seed));
        const double width_m = 2.0 + 4.0 * place.uniform();
        pipe.sags = {{0.05 + 0.15 * place.uniform(),
                      width_m / 2.0 + (pipe.length_m - width_m) * place.uniform(), width_m}};
        const double deepest_m = deepest_pond_m(pipe);
        if (deepest_m < 0.03) continue;
        Eigen::VectorXd z(2001);
        for (Eigen::Index i = 0; i < z.size(); ++i) {
            z(i) = made::invert_m(pipe, pipe.length_m * static_cast<double>(i) / 2000.0);
        }
        const Eigen::VectorXd water = grade::ponded_depth_m(z, grade::Downstream::at_end);
        std::vector<double> wet;
        for (Eigen::Index i = 0; i < z.size(); ++i) {
            if (water(i) > 0.0) wet.push_back(pipe.length_m * static_cast<double>(i) / 2000.0);
        }
        GradeOptions options = each.options();
        options.noted_water = {{0, wet.front(), wet.back(), {}, "standing water"}};
        const Profiles profiles =
            grade_lines(made::make_run(pipe, each.survey, seed).lines, options);
        ++ponds;
        for (const Belly& belly : profiles.runs.front().bellies) {
            if (!belly.probability || belly.from_m > wet.back() || belly.to_m < wet.front())
                continue;
            ++likely;
            depth_covered +=
                belly.depth_m->lo95 <= deepest_m && deepest_m <= belly.depth_m->hi95 ? 1 : 0;
            const double litres = grade::ponded_volume_l(water, {0, z.size() - 1}, {made::bore_m},
                                                         pipe.length_m / 2000.0);
            volume_covered +=
                belly.volume_l->lo95 <= litres && litres <= belly.volume_l->hi95 ? 1 : 0;
            volume_errors.push_back(std::abs(belly.volume_l->value / litres - 1.0));
            break;
        }
    }
    fmt::print(
        "    still water seen: {} ponds of 3 cm or more, P >= 0.8 in {:.2f}, depth bounds "
        "cover {:.2f}, volume bounds {:.2f}; half of the volumes within {:.0f} %\n",
        ponds, static_cast<double>(likely) / std::max(1, ponds),
        static_cast<double>(depth_covered) / std::max(1, likely),
        static_cast<double>(volume_covered) / std::max(1, likely),
        volume_errors.empty() ? 0.0 : 100.0 * grade::quantile(volume_errors, 0.5));
}

void print_straight(Tally tally) {
    const auto share = [](int part, int whole) {
        return static_cast<double>(part) / std::max(1, whole);
    };
    std::ranges::sort(tally.cpu_ms);
    fmt::print(
        "    straight runs: slope given {:.2f}, bounds cover {:.3f}; invert bounds cover "
        "{:.3f}\n",
        share(tally.slopes, tally.runs), share(tally.slopes_covered, tally.slopes),
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
    for (const Case& each : cases()) {
        fmt::print("{}\n", each.name);
        print_straight(straight_runs(each, seeds));
        bench::print_power({each.survey, each.options()}, seeds);
        print_still_water(each, seeds);
        std::fflush(stdout);
    }
    return 0;
}
