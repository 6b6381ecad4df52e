#include "grade/ground_unit.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "grade/even_fall.hpp"
#include "grade/phrases.hpp"
#include "grade/row_ground.hpp"
#include "terms/units.hpp"

namespace sondeline::grade {

namespace {

constexpr std::size_t kFewestRuns = 2;
constexpr double kLogOdds = 5.3;  // of 1 job in 200
// Ground is no straight line: how evenly pipes lie says only so much for the other unit.
constexpr double kMostOfFit = 4.0;

struct Laid {
    double mean = 0.0;
    double sd = 0.0;
};
constexpr Laid kDrains{0.018, 0.012};
constexpr Laid kLevel{0.003, 0.004};
constexpr double kAnyhow = 0.03;       // share of the pipes …
constexpr double kAnyhowRange = 0.15;  // … whose falls lie anywhere within so much

double log_likely(const Estimate& slope, const Laid& laid) {
    const double sd = std::hypot(laid.sd, slope.sd);
    const double t = (slope.value - laid.mean) / sd;
    const double as_laid = std::exp(-0.5 * t * t) / (sd * std::sqrt(2.0 * std::numbers::pi));
    return std::log((1.0 - kAnyhow) * as_laid + kAnyhow / kAnyhowRange);
}

// The ground written in a unit so much longer, as sure as before; heights count from the first
// known point.
RunRows in_other_unit(RunRows run, double factor) {
    const double about_m = run.ground.known.front().elevation_m.value;
    const auto more_m = [&](const Estimate& elevation_m) {
        return (factor - 1.0) * (elevation_m.value - about_m);
    };
    for (Row& row : run.rows) {
        if (!row.ground_m) continue;
        row.y_m += more_m(*row.ground_m);
        row.ground_m->value += more_m(*row.ground_m);
    }
    for (GroundPoint& point : run.ground.known) {
        point.elevation_m.value += more_m(point.elevation_m);
    }
    interpolate_ground(run);
    return run;
}

struct Taken {
    Estimate slope;  // in the direction of flow
    double log_fit = 0.0;
};

std::optional<Taken> take(const RunRows& run, const Flow& flow) {
    const auto fall_m = even_fall_m(run, {run.rows, 1.0});
    if (!fall_m) return std::nullopt;
    const double sign = flow.with_push ? 1.0 : -1.0;
    return Taken{{sign * fall_m->value / run.length_m, fall_m->sd / run.length_m},
                 solve_model({&run.rows, &run.ground}, plain_trends(run)).log_evidence};
}

bool is_levelled(ZReference reference) {
    return reference == ZReference::elevation || reference == ZReference::benchmark;
}

std::string percent(double slope) {
    const double tenths = std::round(1000.0 * slope);
    return fmt::format("{:.1f} %", tenths == 0.0 ? 0.0 : 0.1 * tenths);
}

struct Weighed {
    std::size_t runs = 0;
    double log_odds = 0.0;
    double log_fit = 0.0;
    std::vector<std::string> words;  // of each run
};

Weighed weigh(const Lines& lines, const std::vector<Flow>& flows, const std::vector<RunRows>& runs,
              double factor) {
    Weighed all;
    for (std::size_t r = 0; r < runs.size(); ++r) {
        const Flow& flow = flows[r];
        if (!flow.known || flow.pumped || runs[r].length_m <= 0.0) continue;
        if (!is_levelled(runs[r].z_reference) || runs[r].ground.known.size() < 2) continue;
        const auto written = take(runs[r], flow);
        const auto other = take(in_other_unit(runs[r], factor), flow);
        if (!written || !other) continue;
        const Laid& laid = flow.level ? kLevel : kDrains;
        ++all.runs;
        all.log_odds += log_likely(other->slope, laid) - log_likely(written->slope, laid);
        all.log_fit += other->log_fit - written->log_fit;
        all.words.push_back(fmt::format("{} falls {} as written and {}", lines.runs[r].run.id.text,
                                        percent(written->slope.value),
                                        percent(other->slope.value)));
    }
    all.log_odds += std::min(all.log_fit, kMostOfFit);
    return all;
}

}  // namespace

std::optional<Withheld> doubt_ground_unit(const Lines& lines, const std::vector<Flow>& flows,
                                          std::vector<RunRows>& runs) {
    if (runs.empty()) return std::nullopt;
    const bool metric = runs.front().unit == LengthUnit::metre;
    const Weighed weighed = weigh(lines, flows, runs, metric ? foot_m : 1.0 / foot_m);
    if (weighed.runs < kFewestRuns || weighed.log_odds < kLogOdds) return std::nullopt;
    const char* job = metric ? "metres" : "feet";
    const char* other = metric ? "feet" : "metres";
    const std::string what_to_do = fmt::format(
        "Look at the unit of the rod or of the elevations. If it is {}, write the unit in the "
        "header of these columns, as in foresight ({}), and process again.",
        other, metric ? "ft" : "m");
    Finding finding;
    finding.severity = Severity::problem;
    finding.what = fmt::format(
        "The heights of the ground look written in {} in a job in {}: {} if they are in {}. Pipes "
        "are laid as the latter. No invert and no slope is given.",
        other, job, fmt::join(weighed.words, ", "), other);
    finding.what_to_do = what_to_do;
    runs.front().findings.push_back(std::move(finding));
    return Withheld{
        fmt::format("The heights of the ground look written in {} in a job in {}.", other, job),
        what_to_do};
}

}  // namespace sondeline::grade
