#include "grade/analysis.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "grade/end_depths.hpp"
#include "grade/phrases.hpp"

namespace sondeline::grade {

namespace {

constexpr double kShortestSpan_m = 1.0;
// Of the variance, beyond which no bounds are wide enough for what was not understood (common
// practice, no source).
constexpr double kNotUnderstood = 16.0;

double span_m(const std::vector<Row>& rows) {
    double low = 0.0;
    double high = 0.0;
    bool any = false;
    for (const Row& row : rows) {
        if (!says_height(row)) continue;
        low = any ? std::min(low, row.station_m) : row.station_m;
        high = any ? std::max(high, row.station_m) : row.station_m;
        any = true;
    }
    return high - low;
}

Withheld tape_at_odds(const RunRows& all, const Screening& screening) {
    const Row& tape = screening.tapes_at_odds.front();
    return {fmt::format("The invert taped at {} ({}) contradicts the depths along the run by more "
                        "than chance allows, and which of the two is wrong cannot be told.{}",
                        station_words(tape.station_m, all.unit), tape.source,
                        end_tape_words(all, screening, tape)),
            "Tape that invert and the ground beside it again, and take a depth close to that end: "
            "if the pipe drops there, it shows."};
}

Withheld not_understood(double scatter) {
    return {
        fmt::format("Its depths scatter {:.0f} times as much as stated, which no receiver does: "
                    "some depths or tapes may be in another unit, or of another place.",
                    std::sqrt(scatter)),
        "Look for inches or centimetres in the columns of depths and taped inverts, write the "
        "unit in the header, and process again. Else take the depths anew."};
}

Samples sample(const RunRows& rows, const Evidence& evidence, const RunId& id) {
    return sample_profiles(rows, {{&evidence, 1.0}}, id.text);
}

// The rows as they stand, and with each tape that may be off.
Samples sample(const Analysis& analysis, const RunId& id) {
    std::vector<Reading> readings = {{&*analysis.evidence, 1.0}};
    for (const TapeSlip& slip : analysis.tape_slips) {
        if (slip.probability <= 0.0) continue;
        readings.front().probability -= slip.probability;
        readings.push_back({&slip.evidence, slip.probability});
    }
    return sample_profiles(analysis.rows, readings, id.text);
}

}  // namespace

bool is_height(ZReference reference) {
    return reference == ZReference::elevation || reference == ZReference::benchmark ||
           reference == ZReference::assumed_level_ground;
}

Eigen::Index station_index(const Samples& samples, double station_m) {
    const double spacing_m = samples.stations_m[1] - samples.stations_m[0];
    const auto last = static_cast<double>(samples.stations_m.size() - 1);
    return static_cast<Eigen::Index>(std::clamp(std::round(station_m / spacing_m), 0.0, last));
}

Analysis analyse_run(const AlignedRun& run, const Flow& flow, RunRows rows) {
    Analysis analysis;
    analysis.flow = flow;
    analysis.rows = std::move(rows);
    const RunRows& all = analysis.rows;
    if (all.length_m <= 0.0 || span_m(all.rows) < kShortestSpan_m) {
        analysis.why_no_profile = {
            fmt::format("No two depths that lie {} apart are known along this run.",
                        station_words(kShortestSpan_m, all.unit)),
            "Note the locator's depth at three or more places along the run, and the ground "
            "elevation there."};
        return analysis;
    }
    analysis.screening = screen_rows(all);
    std::vector<Row>& at_odds = analysis.screening.tapes_at_odds;
    if (at_odds.empty()) {
        if (auto tape = contradicted_end_tape(all, analysis.screening)) {
            at_odds.push_back(std::move(*tape));
        }
    }
    if (at_odds.empty() && analysis.screening.scatter > kNotUnderstood) {
        analysis.why_no_profile = not_understood(analysis.screening.scatter);
        return analysis;
    }
    if (!at_odds.empty()) {
        analysis.why_no_profile = tape_at_odds(all, analysis.screening);
        return analysis;
    }
    const std::vector<Row>& used = analysis.screening.used;
    analysis.evidence = weigh_evidence(all, used, analysis.screening.scatter);
    analysis.tape_slips = weigh_tape_slips(all, used, analysis.screening.scatter);
    analysis.samples = sample(analysis, run.run.id);
    analysis.sags = search_sags(all, used, *analysis.evidence, analysis.screening.scatter);
    const auto rows_that = [&](auto wanted) {
        std::vector<Row> some;
        std::ranges::copy_if(used, std::back_inserter(some), wanted);
        return some;
    };
    const bool water = std::ranges::any_of(used, is_water);
    const bool level = std::ranges::any_of(used, is_level_log);
    if (water || level) {
        const std::vector<Row> depths = rows_that(says_height);
        const Evidence evidence = weigh_evidence(all, depths, analysis.screening.scatter);
        analysis.samples_of_depths = sample(all, evidence, run.run.id);
        analysis.sags_of_depths = search_sags(all, depths, evidence, analysis.screening.scatter);
    }
    if (water && level) {
        const std::vector<Row> dry = rows_that([](const Row& row) { return !is_water(row); });
        analysis.samples_without_water =
            sample(all, weigh_evidence(all, dry, analysis.screening.scatter), run.run.id);
    }
    return analysis;
}

}  // namespace sondeline::grade
