#include "grade/detection_limit.hpp"

#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "grade/phrases.hpp"
#include "grade/ponding.hpp"
#include "grade/smallest_sag.hpp"

namespace sondeline::grade {

namespace {

constexpr std::array kWidths_m = {2.0, 4.0, 6.0};
constexpr double kWidest = 0.8;  // of the run's length
// Deeper than this share of its length no pipe sags that is still one: its joints would have come
// apart (common practice, no source). Depths that could show only such a sag show none.
constexpr double kDeepestSag = 0.15;

std::optional<double> limit_m(const SagTest& test, double length_m, double width_m) {
    return smallest_sag_m(test, length_m, {width_m, kDeepestSag * width_m});
}

// What the depths would have shown without the camera's level; empty when it was not used.
std::string depths_alone_words(const Analysis& analysis) {
    const auto& used = analysis.screening.used;
    if (!analysis.sags_of_depths || std::ranges::none_of(used, is_level_log)) return "";
    for (const double width_m : kWidths_m) {
        const auto sag_m = limit_m(analysis.sags_of_depths->test, analysis.rows.length_m, width_m);
        if (!sag_m) continue;
        return fmt::format(
            " It is the camera's level that shows it: depths alone would not show a sag under {} "
            "over {} here.",
            height_words(*sag_m, analysis.rows.unit), station_words(width_m, analysis.rows.unit));
    }
    return " It is the camera's level that shows it: depths alone would show no sag here.";
}

}  // namespace

std::vector<DetectionLimit> detection_limits(const Analysis& analysis,
                                             const std::optional<double>& slope) {
    std::vector<DetectionLimit> limits;
    if (!analysis.evidence || !is_height(analysis.rows.z_reference)) return limits;
    for (const double width_m : kWidths_m) {
        if (width_m > kWidest * analysis.rows.length_m) break;
        DetectionLimit limit;
        limit.width_m = width_m;
        limit.sag_m = limit_m(analysis.sags->test, analysis.rows.length_m, width_m);
        if (limit.sag_m && slope) limit.ponding_m = dip_ponding_m({*limit.sag_m, width_m, *slope});
        limits.push_back(limit);
    }
    return limits;
}

std::string limit_words(const Analysis& analysis, const std::vector<DetectionLimit>& limits) {
    if (!analysis.evidence) return "A belly cannot be seen here: " + analysis.why_no_profile.reason;
    if (!is_height(analysis.rows.z_reference)) {
        return "A belly cannot be seen here, as no ground elevations are known. Level the ground "
               "at the fixes.";
    }
    std::string seen;
    std::string unseen;
    for (const DetectionLimit& limit : limits) {
        std::string& list = limit.sag_m ? seen : unseen;
        if (!list.empty()) list += ", ";
        if (limit.sag_m) list += height_words(*limit.sag_m, analysis.rows.unit) + " over ";
        list += station_words(limit.width_m, analysis.rows.unit);
    }
    if (limits.empty()) return "This run is too short for a belly to be told from its grade.";
    std::string words;
    if (!seen.empty()) {
        words = fmt::format(
            "The smallest sag these data would show 9 times in 10, wherever it lies, as a dip or "
            "as a depth to take again, is {}; a smaller one may be there unseen.",
            seen);
        words += depths_alone_words(analysis);
    }
    if (!unseen.empty()) {
        words += fmt::format(
            "{}A sag {} long may go unseen at any depth, as too few depths lie close enough "
            "together or they scatter too much. Take depths closer together and each of them "
            "twice, or run the camera with a little water in the pipe.",
            words.empty() ? "" : " ", unseen);
    }
    return words;
}

}  // namespace sondeline::grade
