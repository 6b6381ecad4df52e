#include "grade/level_log.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "grade/phrases.hpp"

namespace sondeline::grade {

namespace {

// Odds of 100 to 1.
constexpr double kTold = 4.6;
// Odds of 10 to 1: a sign is easily written down the wrong way about, and a level that is not used
// costs less than one that is turned. One rightly declared in a hundred on a pipe of 1.4 % falls
// here, by its zero.
constexpr double kContradicted = 2.3;
constexpr double kWander_m = 0.05;
constexpr std::ptrdiff_t kFewestHeights = 3;

bool levelled(ZReference reference) {
    return reference == ZReference::elevation || reference == ZReference::benchmark;
}

std::vector<Row> heights_of(const std::vector<Row>& rows) {
    std::vector<Row> heights;
    std::ranges::copy_if(rows, std::back_inserter(heights), says_height);
    return heights;
}

std::vector<Row> logs_of(const std::vector<Row>& rows) {
    std::vector<Row> logs;
    std::ranges::copy_if(rows, std::back_inserter(logs), is_level_log);
    return logs;
}

void turn(std::vector<Row>& rows) {
    for (Row& row : rows) {
        if (is_level_log(row)) row.y_m = -row.y_m;
    }
}

std::ptrdiff_t depths_in(const std::vector<Row>& rows) {
    return std::ranges::count_if(rows, [](const Row& row) { return says_height(row) && row.fix; });
}

// Whether the heights say that the zero is off by far more than a level's is: about 3.5 standard
// deviations, as the wide prior costs ln 20.
bool zero_at_odds(const RunRows& run, const Screening& screening) {
    constexpr double wide = 20.0 * kLevelZeroSd;
    constexpr double told = 3.0;
    ModelInput input{&screening.used, &run.ground, screening.scatter, kWander_m};
    const double usual = solve_model(input, plain_trends(run)).log_evidence;
    input.level_zero_sd = wide;
    return solve_model(input, plain_trends(run)).log_evidence > usual + told;
}

// A level that costs depths, that a third of its own pieces contradict, or whose mean the heights
// contradict is none.
bool at_odds(const RunRows& run) {
    RunRows without = run;
    std::erase_if(without.rows, is_level_log);
    const Screening with = screen_rows(run);
    const Screening alone = screen_rows(without);
    const auto dropped = std::ranges::count_if(with.rejected, is_level_log);
    const auto all = std::ranges::count_if(run.rows, is_level_log);
    return depths_in(with.rejected) > depths_in(alone.rejected) ||
           with.tapes_at_odds.size() > alone.tapes_at_odds.size() || 3 * dropped >= all ||
           zero_at_odds(run, with);
}

void leave_out(const RunId& id, std::string what, std::string what_to_do, RunRows& run) {
    std::erase_if(run.rows, is_level_log);
    run.findings.push_back(
        run_finding(id, Severity::caution, std::move(what), std::move(what_to_do)));
}

}  // namespace

std::vector<Row> level_log_rows(const AlignedRun& run, double length_m) {
    std::vector<Row> rows;
    for (const StationedVertical& seen : run.vertical) {
        if (seen.row.kind != VerticalKind::level_log) continue;
        const double counted_m = seen.row.to_x_m - seen.row.x_m;
        Row row;
        row.kind = VerticalKind::level_log;
        row.station_m = std::clamp(seen.station_m, 0.0, length_m);
        row.less_at_m = std::clamp(seen.to_station_m, 0.0, length_m);
        const double long_m = *row.less_at_m - row.station_m;
        if (!(counted_m > 0.0) || !(long_m > 0.0)) continue;
        const double share = long_m / counted_m;
        row.y_m = share * seen.row.depth_m.value;
        row.sd_m = share * seen.row.depth_m.sd;
        row.log = seen.row.log;
        row.source = seen.row.source;
        if (std::isfinite(row.y_m) && row.sd_m > 0.0) rows.push_back(std::move(row));
    }
    return rows;
}

double log_odds_downhill_positive(const RunRows& run) {
    const std::vector<Row> logs = logs_of(run.rows);
    if (logs.empty() || !levelled(run.z_reference)) return 0.0;
    RunRows heights = run;
    heights.rows = heights_of(run.rows);
    if (std::ssize(heights.rows) < kFewestHeights) return 0.0;
    const Screening screening = screen_rows(heights);
    std::vector<Row> rows = screening.used;
    rows.insert(rows.end(), logs.begin(), logs.end());
    // The loose model, as a sag or a break is no reason to think the level turned about.
    const ModelInput input{&rows, &run.ground, screening.scatter, kWander_m};
    const double positive = solve_model(input, plain_trends(run)).log_evidence;
    turn(rows);
    return positive - solve_model(input, plain_trends(run)).log_evidence;
}

void settle_level_log(const RunId& id, InclinationSign sign, double log_odds, RunRows& run) {
    if (std::ranges::none_of(run.rows, is_level_log)) return;
    if (sign == InclinationSign::not_said && std::abs(log_odds) < kTold) {
        leave_out(id,
                  "The camera shows its inclination, but whether its figure is positive or "
                  "negative downhill is not said, and the depths do not tell: it was not used.",
                  "Write inclination downhill, positive or negative, in the job table: hold the "
                  "head with its nose down and see.",
                  run);
        return;
    }
    const double against = sign == InclinationSign::downhill_negative ? log_odds : -log_odds;
    if (sign != InclinationSign::not_said && against > kContradicted) {
        leave_out(id,
                  fmt::format("By the depths and inverts of the day the camera's inclination "
                              "figure is {} downhill, and not as the job table says: with that "
                              "sign its zero would have to be further off than a level's is. It "
                              "was not used.",
                              log_odds > 0.0 ? "positive" : "negative"),
                  "Hold the head with its nose down, see which sign it shows, and correct "
                  "inclination downhill in the job table.",
                  run);
        return;
    }
    const bool negative = sign == InclinationSign::downhill_negative ||
                          (sign == InclinationSign::not_said && log_odds < 0.0);
    if (negative) turn(run.rows);
    if (at_odds(run)) {
        leave_out(id,
                  "What the camera's level shows does not agree with the depths and inverts of "
                  "this run: it was not used.",
                  "Check the sign given as inclination downhill, and the level against a plank "
                  "that is known to be level.",
                  run);
        return;
    }
    if (sign != InclinationSign::not_said) return;
    run.findings.push_back(run_finding(
        id, Severity::info,
        fmt::format("By the depths of the day, the camera's inclination figure is {} downhill.",
                    negative ? "negative" : "positive"),
        fmt::format("Write inclination downhill, {}, in the job table if that is so.",
                    negative ? "negative" : "positive")));
}

}  // namespace sondeline::grade
