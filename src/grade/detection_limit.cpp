#include "grade/detection_limit.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <Eigen/LU>
#include <fmt/format.h>

#include "grade/normal.hpp"
#include "grade/phrases.hpp"
#include "grade/ponding.hpp"

namespace sondeline::grade {

namespace {

constexpr std::array kWidths_m = {2.0, 4.0, 6.0};
constexpr double kWidest = 0.8;  // of the run's length
constexpr double kFalseAlarms = 0.05;
constexpr double kPower = 0.90;
// A sag may lie where it shows less well than at most places: at three of four it shows as stated.
constexpr double kOfPlaces = 0.75;
// Deeper than this share of its length no pipe sags that is still one: its joints would have come
// apart (common practice, no source). Depths that could show only such a sag show none.
constexpr double kDeepestSag = 0.15;

// Independent tests in one run: not more than twice its rows, however many places are tried.
double tests(const Evidence& evidence, std::ptrdiff_t rows) {
    // Each place stands twice, for the two priors of its depth.
    const auto places = std::ranges::count_if(evidence.plain_sags, &SagPlace::supported) / 2.0;
    return std::max(1.0, std::min(2.0 * static_cast<double>(rows), places));
}

double tests(const Analysis& analysis) {
    const auto& used = analysis.screening.used;
    return tests(*analysis.evidence, std::ssize(used) - std::ranges::count_if(used, is_water));
}

std::optional<double> smallest_sag_m(const Evidence& evidence, double tests, double width_m) {
    std::vector<double> sds;
    int places = 0;
    for (const SagPlace& place : evidence.plain_sags) {
        if (place.width_m != width_m) continue;
        ++places;
        if (place.supported && place.a > 0.0) sds.push_back(1.0 / std::sqrt(place.a));
    }
    if (sds.empty() || 2 * static_cast<int>(sds.size()) < places) return std::nullopt;
    const double sigmas = alarm_threshold(tests) + normal_quantile(kPower);
    const double sag_m = sigmas * quantile(sds, kOfPlaces);
    return sag_m <= kDeepestSag * width_m ? std::optional(sag_m) : std::nullopt;
}

// What the depths would have shown without the camera's level; empty when it was not used.
std::string depths_alone_words(const Analysis& analysis) {
    const auto& used = analysis.screening.used;
    if (!analysis.evidence_of_depths || std::ranges::none_of(used, is_level_log)) return "";
    const double places =
        tests(*analysis.evidence_of_depths, std::ranges::count_if(used, says_height));
    for (const double width_m : kWidths_m) {
        const auto sag_m = smallest_sag_m(*analysis.evidence_of_depths, places, width_m);
        if (!sag_m) continue;
        return fmt::format(
            " It is the camera's level that shows it: depths alone would not show a sag under {} "
            "over {} here.",
            height_words(*sag_m, analysis.rows.unit), station_words(width_m, analysis.rows.unit));
    }
    return " It is the camera's level that shows it: depths alone would show no sag here.";
}

}  // namespace

double alarm_threshold(double tests) {
    return normal_quantile(1.0 - kFalseAlarms / tests);
}

std::vector<DetectionLimit> detection_limits(const Analysis& analysis,
                                             const std::optional<double>& slope) {
    std::vector<DetectionLimit> limits;
    if (!analysis.evidence || !is_height(analysis.rows.z_reference)) return limits;
    for (const double width_m : kWidths_m) {
        if (width_m > kWidest * analysis.rows.length_m) break;
        DetectionLimit limit;
        limit.width_m = width_m;
        limit.sag_m = smallest_sag_m(*analysis.evidence, tests(analysis), width_m);
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
            "The smallest sag these data would show 9 times in 10 is {}; a smaller one may be "
            "there "
            "unseen.",
            seen);
        words += depths_alone_words(analysis);
    }
    if (!unseen.empty()) {
        words += fmt::format(
            "{}A sag {} long cannot be seen, as too few depths lie close enough together or they "
            "scatter too much. Take depths closer together and each of them twice, or run the "
            "camera with a little water in the pipe.",
            words.empty() ? "" : " ", unseen);
    }
    return words;
}

std::optional<ShownSag> shown_sag(const Analysis& analysis) {
    if (!analysis.evidence || !is_height(analysis.rows.z_reference)) return std::nullopt;
    const Evidence& evidence = *analysis.evidence;
    for (const Trend& trend : evidence.certain) {
        if (trend.kind != TrendKind::sag) continue;
        const auto k =
            static_cast<Eigen::Index>(&trend - evidence.certain.data()) +
            static_cast<Eigen::Index>(evidence.model.trends.size() - evidence.certain.size());
        const Eigen::MatrixXd covariance = evidence.model.information.inverse();
        return ShownSag{trend.at_m,
                        trend.width_m,
                        {(covariance * evidence.model.right)(k), std::sqrt(covariance(k, k))}};
    }
    Eigen::Index break_row = 0;
    evidence.probability.rowwise().sum().maxCoeff(&break_row);
    const double threshold = alarm_threshold(tests(analysis));
    std::optional<ShownSag> shown;
    double most = threshold;
    for (std::size_t s = 0; s < evidence.sags.size(); ++s) {
        const SagProducts p = sag_products(evidence, {static_cast<std::size_t>(break_row), s});
        if (p.a <= 0.0 || p.m / std::sqrt(p.a) <= most) continue;
        most = p.m / std::sqrt(p.a);
        shown = ShownSag{
            evidence.sags[s].centre_m, evidence.sags[s].width_m, {p.m / p.a, 1.0 / std::sqrt(p.a)}};
    }
    return shown;
}

}  // namespace sondeline::grade
