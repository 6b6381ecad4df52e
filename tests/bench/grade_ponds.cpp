#include "bench/grade_ponds.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include <fmt/format.h>

#include "grade/normal.hpp"
#include "grade/ponding.hpp"
#include "grade/sampling.hpp"

namespace bench {

using namespace sondeline;

namespace {

constexpr double kShallowest_m = 0.03;
constexpr int kSteps = 2000;
// How well a shore is noted by what the counter read (in the field; exactly, where imagined).
constexpr double kShoreSd_m = 0.15;

struct TruePond {
    double from_m = 0.0;
    double to_m = 0.0;
    double depth_m = 0.0;
    double litres = 0.0;
};

// The deepest sheet of water that the pipe holds as it lies.
TruePond deepest_pond(const KnownRun& known) {
    const double step_m = known.length_m / kSteps;
    Eigen::VectorXd z(kSteps + 1);
    for (Eigen::Index i = 0; i < z.size(); ++i)
        z(i) = known.invert_m(step_m * static_cast<double>(i));
    const Eigen::VectorXd water = grade::ponded_depth_m(z, grade::Downstream::at_end);
    Eigen::Index deepest = 0;
    TruePond pond;
    pond.depth_m = water.maxCoeff(&deepest);
    grade::Span span{deepest, deepest};
    while (span.first > 0 && water(span.first) > 0.0) --span.first;
    while (span.last < kSteps && water(span.last) > 0.0) ++span.last;
    pond.from_m = step_m * static_cast<double>(span.first);
    pond.to_m = step_m * static_cast<double>(span.last);
    pond.litres = grade::ponded_volume_l(water, span, {made::bore_m}, step_m);
    return pond;
}

NotedWater noted(const TruePond& pond, Half half, grade::Draws& draws) {
    const double sd_m = half == Half::field ? kShoreSd_m : 0.0;
    const double from_m = pond.from_m + sd_m * draws.normal();
    const double to_m = pond.to_m + sd_m * draws.normal();
    return {0, from_m, std::max(to_m, from_m + 0.1), {}, "standing water"};
}

struct Tally {
    int ponds = 0;
    int likely = 0;
    int depth_covered = 0;
    int volume_covered = 0;
    std::vector<double> depth_errors_m;
    std::vector<double> volume_errors;
};

void tally_belly(const Belly& belly, const TruePond& pond, Tally& tally) {
    const auto covers = [](const Bounded& bounds, double truth) {
        return bounds.lo95 <= truth && truth <= bounds.hi95;
    };
    ++tally.likely;
    tally.depth_covered += covers(*belly.depth_m, pond.depth_m) ? 1 : 0;
    tally.volume_covered += covers(*belly.volume_l, pond.litres) ? 1 : 0;
    tally.depth_errors_m.push_back(std::abs(belly.depth_m->value - pond.depth_m));
    tally.volume_errors.push_back(std::abs(belly.volume_l->value / pond.litres - 1.0));
}

made::Pipe pipe_with_sag(int seed, grade::Draws& place) {
    made::Pipe pipe = random_pipe(seed);
    const double width_m = 2.0 + 4.0 * place.uniform();
    const double depth_m = 0.05 + 0.15 * place.uniform();
    const double centre_m = width_m / 2.0 + (pipe.length_m - width_m) * place.uniform();
    pipe.sags = {{depth_m, centre_m, width_m}};
    return pipe;
}

void print(const char* which, Tally tally) {
    const auto half = [](std::vector<double>& errors) {
        return errors.empty() ? 0.0 : grade::quantile(errors, 0.5);
    };
    fmt::print(
        "    {}: {} ponds of 3 cm or more, P >= 0.8 in {:.2f}, depth bounds cover {:.2f}, volume "
        "bounds {:.2f}; half of the depths within {:.1f} cm, of the volumes within {:.0f} %\n",
        which, tally.ponds, share(tally.likely, tally.ponds),
        share(tally.depth_covered, tally.likely), share(tally.volume_covered, tally.likely),
        100.0 * half(tally.depth_errors_m), 100.0 * half(tally.volume_errors));
}

}  // namespace

void print_ponds(const SagCase& each, const Seeds& seeds) {
    Tally seen;
    Tally unseen;
    for (int seed = seeds.first; seed < seeds.first + seeds.runs; ++seed) {
        grade::Draws draws("pond " + std::to_string(seed));
        const KnownRun known =
            make_known_run(each.half, pipe_with_sag(seed, draws), each.survey, seed);
        const TruePond pond = deepest_pond(known);
        if (pond.depth_m < kShallowest_m) continue;
        GradeOptions with_water = each.options;
        with_water.noted_water = {noted(pond, each.half, draws)};
        for (const bool noted : {true, false}) {
            Tally& tally = noted ? seen : unseen;
            ++tally.ponds;
            const Profiles profiles = grade_lines(known.lines, noted ? with_water : each.options);
            const auto& bellies = profiles.runs.front().bellies;
            const auto belly = std::ranges::find_if(bellies, [&](const Belly& one) {
                return one.probability && one.from_m <= pond.to_m && one.to_m >= pond.from_m;
            });
            if (belly != bellies.end()) tally_belly(*belly, pond, tally);
        }
    }
    print("still water seen", std::move(seen));
    print("nothing seen", std::move(unseen));
}

}  // namespace bench
