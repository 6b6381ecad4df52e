#include "survey/level_words.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "terms/units.hpp"

namespace sondeline {

namespace {

constexpr double closes_within_sd = 2.58;  // 1 % by chance
constexpr std::size_t most_named = 3;

Where in_levels() {
    Where where;
    where.file = "levels";
    return where;
}

// A rod is read to a thousandth of a foot at best.
constexpr double least_read_m = 0.001 * foot_m;

std::string small_length(double length_m, LengthUnit unit) {
    length_m = std::max(length_m, least_read_m);
    if (unit == LengthUnit::metre) return fmt::format("{:.1f} mm", 1000.0 * length_m);
    return length_words(length_m, unit, 3);
}

std::string way(const LevelLoop& loop) {
    constexpr std::size_t most_points = 8;
    if (loop.points.size() <= most_points) return fmt::format("{}", fmt::join(loop.points, ", "));
    return fmt::format("{}, {}, … {}", loop.points[0], loop.points[1], loop.points.back());
}

double expected_sd_m(const LevelLoop& loop, const LevelOptions& options) {
    return std::hypot(options.reading_sd_m * std::sqrt(loop.readings),
                      options.benchmark_sd_m * std::sqrt(loop.benchmarks));
}

// A whole, tenth or hundredth of the rod's unit is the usual slip of the eye.
std::string slip_words(double off_m, double sd_m, LengthUnit unit) {
    for (const double step : {1.0, 0.1}) {
        const double step_m = step * metres_per(unit);
        if (sd_m * closes_within_sd > 0.2 * step_m) continue;
        if (std::abs(std::abs(off_m) - step_m) > closes_within_sd * sd_m) continue;
        return fmt::format(" That is close to {}, a common slip in reading the rod.",
                           length_words(step_m, unit, step < 1.0 ? 1 : 0));
    }
    return "";
}

std::string pair_words(const ExchangedSights& pair) {
    if (pair.setup1 == pair.setup2) {
        return fmt::format("the readings on {} and {} from setup {}", pair.point1, pair.point2,
                           pair.setup1);
    }
    return fmt::format("the readings on {} from setups {} and {}", pair.point1, pair.setup1,
                       pair.setup2);
}

// More than a few that would explain it tell nothing.
std::string exchange_words(const std::vector<ExchangedSights>& pairs) {
    if (pairs.empty() || pairs.size() > most_named) return "";
    std::vector<std::string> words;
    std::ranges::transform(pairs, std::back_inserter(words), pair_words);
    return fmt::format(" All would close if {} were written down for each other.",
                       fmt::join(words, ", or "));
}

void tell_open_loops(const LevelNet& net, const LevelOptions& options, Findings& findings) {
    std::vector<LevelLoop> open;
    for (const LevelLoop& loop : net.loops) {
        if (closure_in_sd(loop, options) > closes_within_sd) open.push_back(loop);
    }
    std::ranges::stable_sort(open, std::greater{},
                             [&](const LevelLoop& loop) { return closure_in_sd(loop, options); });
    if (open.empty()) {
        findings.push_back(
            {Severity::problem, in_levels(),
             fmt::format("The level readings scatter {:.1f} times as much as they should, though "
                         "no loop is far off; all their bounds were widened by that.",
                         std::sqrt(net.square_sum / std::max(1, net.redundant))),
             "Check the rod for wear at its foot and the level for its collimation."});
        return;
    }
    std::string words;
    for (std::size_t i = 0; i < std::min(open.size(), most_named); ++i) {
        const LevelLoop& loop = open[i];
        const double off = std::abs(loop.closure_m);
        words += fmt::format(
            "{}The {} {} does not close: {} over {} setups, where {} would be "
            "much.{}",
            i == 0 ? "" : " ", loop.benchmarks > 0 ? "line" : "level loop", way(loop),
            small_length(off, options.unit), loop.setups,
            small_length(closes_within_sd * expected_sd_m(loop, options), options.unit),
            slip_words(off, expected_sd_m(loop, options), options.unit));
    }
    if (open.size() > most_named) {
        words += fmt::format(" {} more do not close.", open.size() - most_named);
    }
    const std::size_t sound = net.loops.size() - open.size();
    if (sound > 0) words += fmt::format(" {} of {} loops close.", sound, net.loops.size());
    findings.push_back(
        {Severity::problem, in_levels(),
         words + exchange_words(net.exchanged) +
             " Every elevation may be wrong by as much; their bounds were widened by that.",
         "Look for a misread, mistyped or exchanged rod reading in what the loops that do not "
         "close share, or level again."});
}

}  // namespace

double closure_in_sd(const LevelLoop& loop, const LevelOptions& options) {
    return std::abs(loop.closure_m) / expected_sd_m(loop, options);
}

void tell_too_many_levels(std::size_t readings, std::size_t most, Findings& findings) {
    findings.push_back({Severity::problem, in_levels(),
                        fmt::format("The table holds {} readings, more than the {} that are "
                                    "adjusted at once; no elevation was taken from it.",
                                    readings, most),
                        "Keep the readings of this site only, or give the elevations that came of "
                        "them in the column ground.",
                        Consequence::input_rejected});
}

void tell_unreached_levels(const LevelBook& book, const ReachedLevels& reached,
                           Findings& findings) {
    for (std::size_t i = 0; i < book.points.size(); ++i) {
        if (reached.points[i]) continue;
        Where where = in_levels();
        where.structure = book.points[i];
        findings.push_back(
            {Severity::caution, where,
             fmt::format("The level readings of {} have no link to a benchmark; they "
                         "were not used.",
                         book.points[i]),
             "Read one point of this setup from another setup as well.",
             Consequence::input_rejected});
    }
}

void tell_left_out(const LevelBook& book, const LevelSuspect& suspect, LengthUnit unit,
                   Findings& findings) {
    if (!suspect.sight) {
        const LevelBenchmark& mark = book.benchmarks[static_cast<std::size_t>(suspect.benchmark)];
        findings.push_back(
            {Severity::problem, where_is(mark.source),
             fmt::format("The elevation given for {} is {} {} what the levels make it from the "
                         "other benchmarks; it was not used.",
                         book.points[static_cast<std::size_t>(mark.point)],
                         small_length(std::abs(suspect.off_m), unit),
                         suspect.off_m > 0.0 ? "above" : "below"),
             "Check that it is the same mark and the same datum as the other benchmarks.",
             Consequence::input_rejected});
        return;
    }
    const LevelSight& sight = book.sights[static_cast<std::size_t>(*suspect.sight)];
    findings.push_back(
        {Severity::problem, where_is(sight.source),
         fmt::format("The {} on {} from setup {} contradicts the other readings: it is {} too {}. "
                     "It was not used; without it the levels close.",
                     sight.back ? "backsight" : "foresight",
                     book.points[static_cast<std::size_t>(sight.point)],
                     book.setups[static_cast<std::size_t>(sight.setup)],
                     small_length(std::abs(suspect.off_m), unit),
                     suspect.off_m > 0.0 ? "large" : "small"),
         "Compare it with the field book, or read it again.", Consequence::input_rejected});
}

void tell_closure(const LevelNet& net, const LevelOptions& options, Findings& findings) {
    if (net.loops.empty()) {
        findings.push_back({Severity::info, in_levels(),
                            "The levels have no check: every point was read once.",
                            "Close the loop: read the benchmark once more at the end."});
        return;
    }
    if (!net.closes) {
        tell_open_loops(net, options, findings);
        return;
    }
    if (net.left_out > 0) return;  // said with the reading
    const double closure_m = std::abs(net.closure_m.value_or(0.0));
    const std::string closure = small_length(closure_m, options.unit);
    const std::string left = closure_m < 0.5 * least_read_m
                                 ? "nothing had to be spread"
                                 : fmt::format("it was spread over the {} setups", net.setups);
    findings.push_back(
        {Severity::info, in_levels(),
         net.loops.size() == 1
             ? fmt::format("The levels close within {}; {}.", closure, left)
             : fmt::format("The levels close in all {} loops, the worst of them within {}; {}.",
                           net.loops.size(), closure, left),
         ""});
}

}  // namespace sondeline
