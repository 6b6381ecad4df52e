#include "grade/places.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "grade/normal.hpp"

namespace sondeline::grade {

namespace {

constexpr double kBreaksPerMetre = 0.02;
constexpr double kSagsPerMetre = 0.015;
constexpr double kDeepSags = 0.5;  // of all sags (common practice, no source)
constexpr double kMostBreakPlaces = 100.0;
constexpr double kMostPlacesPerWidth = 300.0;
constexpr double kSeenByRow = 0.25;
constexpr double kSeenByDifference = 0.05;

bool supported(const SagPlace& sag, const std::vector<Row>& rows) {
    int seen = 0;
    for (const SagPlace::InRow& touch : sag.in_rows) {
        const double size = std::abs(touch.phi);
        const Row& row = rows[static_cast<std::size_t>(touch.row)];
        if (is_water(row) && size > kSeenByDifference) return true;
        if (size > (says_height(row) ? kSeenByRow : kSeenByDifference)) ++seen;
    }
    return seen >= 2;
}

std::vector<double> break_stations(double length_m, const std::vector<Row>& rows) {
    std::vector<double> heights;
    for (const Row& row : rows) {
        if (says_height(row)) heights.push_back(row.station_m);
    }
    std::ranges::sort(heights);
    std::vector<double> stations;
    if (heights.size() < 4) return stations;
    const double step_m = std::max(1.0, length_m / kMostBreakPlaces);
    for (double t = step_m; t < length_m; t += step_m) {
        if (heights[1] <= t && heights[heights.size() - 2] >= t) stations.push_back(t);
    }
    return stations;
}

}  // namespace

SagPlace sag_place(const SagAt& at, const std::vector<Row>& rows) {
    SagPlace place;
    place.centre_m = at.centre_m;
    place.width_m = at.width_m;
    const Trend dip{TrendKind::sag, at.centre_m, at.width_m, kSagSd_m};
    for (std::size_t i = 0; i < rows.size(); ++i) {
        const double phi = -trend_in_row(dip, rows[i]);
        if (phi != 0.0) place.in_rows.push_back({static_cast<Eigen::Index>(i), phi});
    }
    place.supported = supported(place, rows);
    return place;
}

std::vector<SagPlace> sag_places(double length_m, const std::vector<Row>& rows) {
    std::vector<SagPlace> places;
    for (const double width_m : kSagWidths_m) {
        if (width_m > kWidestSag * length_m) break;
        const double step_m = std::max({width_m / 4.0, 0.25, length_m / kMostPlacesPerWidth});
        for (double c = width_m / 2.0; c <= length_m - width_m / 2.0 + 1e-9; c += step_m) {
            places.push_back(sag_place({c, width_m}, rows));
            places.push_back(places.back());
            places.back().prior_sd_m = kDeepSagSd_m;
        }
    }
    return places;
}

void set_products(const VerticalModel& model, std::vector<SagPlace>& places) {
    for (SagPlace& sag : places) {
        sag.a = sag.m = 0.0;
        if (!sag.supported) continue;
        for (const SagPlace::InRow& i : sag.in_rows) {
            sag.m -= i.phi * model.qy(i.row);
            for (const SagPlace::InRow& j : sag.in_rows) {
                sag.a += i.phi * model.q(i.row, j.row) * j.phi;
            }
        }
    }
}

std::vector<BreakPlace> break_places(double length_m, const std::vector<Row>& rows,
                                     const VerticalModel& model) {
    std::vector<BreakPlace> places;
    for (const double station_m : break_stations(length_m, rows)) {
        BreakPlace place;
        place.station_m = station_m;
        place.in_rows = columns({{TrendKind::grade_break, station_m, 0.0, kBreakSd}}, rows);
        place.q_b = model.q * place.in_rows;
        place.divisor = 1.0 / (kBreakSd * kBreakSd) + place.in_rows.dot(place.q_b);
        place.b_qy = place.in_rows.dot(model.qy);
        places.push_back(std::move(place));
    }
    return places;
}

double log_break_factor(const BreakPlace& place) {
    return 0.5 * place.b_qy * place.b_qy / place.divisor -
           0.5 * std::log(place.divisor * kBreakSd * kBreakSd);
}

SagDepth sag_depth(const SagProducts& products) {
    const double variance = 1.0 / (products.a + 1.0 / (products.prior_sd_m * products.prior_sd_m));
    return {variance * products.m, std::sqrt(variance)};
}

double log_sag_factor(const SagProducts& products) {
    if (products.a <= 0.0) return 0.0;
    const SagDepth depth = sag_depth(products);
    const double z = depth.mean_m / depth.sd_m;
    return std::numbers::ln2 + std::log(depth.sd_m / products.prior_sd_m) + 0.5 * z * z +
           log_normal_cdf(z);
}

double prior_break(double length_m, const std::vector<BreakPlace>& places) {
    return places.empty() ? 0.0 : -std::expm1(-kBreaksPerMetre * length_m);
}

double prior_sag(double length_m, const std::vector<SagPlace>& places) {
    return places.empty() ? 0.0 : -std::expm1(-kSagsPerMetre * length_m);
}

// Spread over deep sags and others, then evenly over widths, then over the stations of each.
std::vector<double> log_sag_priors(double p_any, const std::vector<SagPlace>& places) {
    std::array<double, kSagWidths_m.size()> count{};
    const auto width_index = [](double width_m) {
        return static_cast<std::size_t>(std::ranges::find(kSagWidths_m, width_m) -
                                        kSagWidths_m.begin());
    };
    const auto is_deep = [](const SagPlace& place) { return place.prior_sd_m > kSagSd_m; };
    for (const SagPlace& place : places) {
        if (!is_deep(place)) ++count[width_index(place.width_m)];
    }
    const auto widths =
        static_cast<double>(std::ranges::count_if(count, [](double c) { return c > 0.0; }));
    std::vector<double> priors;
    priors.reserve(places.size());
    for (const SagPlace& place : places) {
        const double share = is_deep(place) ? kDeepSags : 1.0 - kDeepSags;
        priors.push_back(std::log(share * p_any / widths / count[width_index(place.width_m)]));
    }
    return priors;
}

}  // namespace sondeline::grade
