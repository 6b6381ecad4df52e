#include "alignment/fix_results.hpp"

#include <cmath>

#include <fmt/format.h>

#include "alignment/phrases.hpp"
#include "alignment/rejection.hpp"

namespace sondeline::alignment {
namespace {

constexpr double worth_saying_m = 0.05;

void set_position(const PositionDatum& datum, const RunLine& line, FixResult& result) {
    Eigen::Vector2d off = datum.at_m - line.at(datum.x_m);
    if (datum.shares_offset) off -= line.receiver_offset_m();
    const double heading = line.heading_rad(datum.x_m);
    const Eigen::Vector2d forward(std::sin(heading), std::cos(heading));
    const Eigen::Vector2d right(std::cos(heading), -std::sin(heading));
    const FixState state = state_of(datum, line);
    result.across_m = off.dot(right);
    result.along_m = off.dot(forward);
    result.weight = state.weight;
    result.outlier_probability = state.outlier_probability;
    result.use = datum.rejected ? FixUse::rejected : FixUse::used;
}

void set_heading(const HeadingDatum& datum, const RunLine& line, bool alone, FixResult& result) {
    result.heading_rad =
        std::remainder(datum.heading_rad - line.mean_heading_rad(datum.x_m), std::numbers::pi);
    result.heading_rejected = datum.rejected;
    if (!alone) return;
    const FixState state = state_of(datum, line);
    result.weight = state.weight;
    result.outlier_probability = state.outlier_probability;
    result.use = datum.rejected ? FixUse::rejected : FixUse::used;
}

void explain(const Site& site, const Lines& lines, int fix, FixResult& result) {
    if (result.use != FixUse::rejected) return;
    if (!result.across_m) {
        result.why = "Its heading does not agree with the line through the other fixes.";
        result.what_to_do = "Check the heading against a compass error or a bend close by.";
        return;
    }
    const Suspicion suspicion = what_it_may_be(site, lines, fix);
    result.why = fmt::format("It lies {} where the other fixes put this station. {}",
                             where_it_lies(result, site.job_unit), suspicion.may_be);
    result.what_to_do = suspicion.what_to_do;
    result.of_another_run = suspicion.of_another_run;
}

}  // namespace

std::string where_it_lies(const FixResult& result, LengthUnit unit) {
    const double across = result.across_m.value_or(0.0);
    const double along = result.along_m.value_or(0.0);
    std::string words;
    if (std::abs(across) >= worth_saying_m || std::abs(along) < worth_saying_m) {
        words = fmt::format("{} {} of", length_words(std::abs(across), unit),
                            across < 0.0 ? "left" : "right");
    }
    if (std::abs(along) >= worth_saying_m) {
        if (!words.empty()) words = words.substr(0, words.size() - 3) + " and ";
        words += fmt::format("{} {}", length_words(std::abs(along), unit),
                             along < 0.0 ? "behind" : "ahead of");
    }
    return words;
}

std::vector<FixResult> fix_results(const Site& site, const NetworkData& data,
                                   const Network& network, const Lines& lines) {
    std::vector<FixResult> out(site.fixes.size());
    for (std::size_t r = 0; r < data.runs.size(); ++r) {
        const RunLine line(network.state.runs[r], place_of(network.problem, network.state, r));
        for (const PositionDatum& datum : data.runs[r].positions) {
            set_position(datum, line, out[datum.fix]);
        }
        for (const HeadingDatum& datum : data.runs[r].headings) {
            const bool alone = !site.fixes[datum.fix].position.has_value();
            set_heading(datum, line, alone, out[datum.fix]);
        }
    }
    for (std::size_t i = 0; i < out.size(); ++i) {
        const SiteFix& fix = site.fixes[i];
        if (fix.run >= 0 && std::isfinite(fix.x_m)) {
            out[i].station_m = station_of_x(lines.runs[fix.run], fix.x_m);
        }
        explain(site, lines, static_cast<int>(i), out[i]);
    }
    for (const LeftOut& left : data.left_out) {
        FixResult& result = out[left.fix];
        if (left.same_as) result = out[*left.same_as];
        result.use = left.same_as ? result.use : left.use;
        result.why = left.why;
        result.what_to_do.clear();
    }
    return out;
}

}  // namespace sondeline::alignment
