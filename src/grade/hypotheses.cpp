#include "grade/hypotheses.hpp"

#include <algorithm>
#include <array>
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
constexpr int kMostCertain = 4;
constexpr double kSeenByRow = 0.25;
constexpr double kSeenByDifference = 0.05;
// A break more likely than not only because the run is long is no finding of the data.
constexpr double kOddsGain = 3.0;

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

std::vector<BreakPlace> break_places(const std::vector<double>& stations,
                                     const VerticalModel& model, const std::vector<Row>& rows) {
    std::vector<BreakPlace> places;
    for (const double station_m : stations) {
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

// ln of the evidence of a break over none: rank-one update of S = V + XP⁻¹Xᵀ by κ²bbᵀ.
double log_break_factor(const BreakPlace& place) {
    return 0.5 * place.b_qy * place.b_qy / place.divisor -
           0.5 * std::log(place.divisor * kBreakSd * kBreakSd);
}

struct Prior {
    double none = 0.0;  // logarithms
    double each = 0.0;
};

Prior even_prior(double p_any, std::size_t places) {
    if (places == 0 || p_any <= 0.0) return {0.0, 0.0};
    return {std::log1p(-p_any), std::log(p_any) - std::log(static_cast<double>(places))};
}

// Spread over deep sags and others, then evenly over widths, then over the stations of each.
std::vector<double> sag_priors(double p_any, const std::vector<SagPlace>& places) {
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

void weigh(Evidence& evidence, double length_m) {
    const std::size_t n_breaks = evidence.breaks.size();
    const std::size_t n_sags = evidence.sags.size();
    evidence.prior_break = n_breaks > 0 ? -std::expm1(-kBreaksPerMetre * length_m) : 0.0;
    evidence.prior_sag = n_sags > 0 ? -std::expm1(-kSagsPerMetre * length_m) : 0.0;
    const Prior for_break = even_prior(evidence.prior_break, n_breaks);
    const std::vector<double> for_sag = sag_priors(evidence.prior_sag, evidence.sags);
    const double no_sag = std::log1p(-evidence.prior_sag);

    Eigen::MatrixXd log_weight(n_breaks + 1, n_sags + 1);
    for (std::size_t b = 0; b <= n_breaks; ++b) {
        const auto r = static_cast<Eigen::Index>(b);
        const double of_break =
            b == 0 ? for_break.none : for_break.each + log_break_factor(evidence.breaks[b - 1]);
        log_weight(r, 0) = of_break + no_sag;
        for (std::size_t s = 0; s < n_sags; ++s) {
            const SagProducts products = sag_products(evidence, {b, s});
            log_weight(r, static_cast<Eigen::Index>(s) + 1) =
                of_break + for_sag[s] + log_sag_factor(products);
        }
    }
    const double most = log_weight.maxCoeff();
    evidence.probability = (log_weight.array() - most).exp();
    const double sum = evidence.probability.sum();
    evidence.log_evidence_of_all = evidence.model.log_evidence + most + std::log(sum);
    evidence.probability /= sum;
    evidence.p_break = 1.0 - evidence.probability.row(0).sum();
    evidence.p_sag = 1.0 - evidence.probability.col(0).sum();
}

Evidence weigh_with(const RunRows& run, const std::vector<Row>& used, double scatter,
                    const std::vector<Trend>& certain) {
    Evidence evidence;
    std::vector<Trend> trends = plain_trends(run);
    trends.insert(trends.end(), certain.begin(), certain.end());
    evidence.certain = certain;
    evidence.model = solve_model({&used, &run.ground, scatter}, trends);
    evidence.sags = sag_places(run.length_m, used);
    for (SagPlace& sag : evidence.sags) {
        if (!sag.supported) continue;
        for (const SagPlace::InRow& i : sag.in_rows) {
            sag.m -= i.phi * evidence.model.qy(i.row);
            for (const SagPlace::InRow& j : sag.in_rows) {
                sag.a += i.phi * evidence.model.q(i.row, j.row) * j.phi;
            }
        }
    }
    evidence.breaks = break_places(break_stations(run.length_m, used), evidence.model, used);
    weigh(evidence, run.length_m);
    return evidence;
}

struct Best {
    double probability = 0.0;  // of a break, or of a sag that overlaps the most likely one
    std::size_t place = 0;
};

Best best_break(const Evidence& evidence) {
    if (evidence.breaks.empty()) return {};
    const double odds = evidence.p_break / std::max(1e-300, 1.0 - evidence.p_break);
    const double prior_odds = evidence.prior_break / (1.0 - evidence.prior_break);
    if (odds < kOddsGain * prior_odds) return {};
    const Eigen::VectorXd each = evidence.probability.rowwise().sum();
    Eigen::Index best = 0;
    each.tail(each.size() - 1).maxCoeff(&best);
    return {evidence.p_break, static_cast<std::size_t>(best)};
}

Best best_sag(const Evidence& evidence) {
    const Eigen::VectorXd each = evidence.probability.colwise().sum();
    Best best;
    double most = 0.0;
    for (std::size_t s = 0; s < evidence.sags.size(); ++s) {
        const double p = each(static_cast<Eigen::Index>(s) + 1);
        if (!evidence.sags[s].supported || p <= most) continue;
        most = p;
        best.place = s;
    }
    if (most <= 0.0) return best;
    const SagPlace& chosen = evidence.sags[best.place];
    for (std::size_t s = 0; s < evidence.sags.size(); ++s) {
        const SagPlace& other = evidence.sags[s];
        const double reach_m = (chosen.width_m + other.width_m) / 2.0;
        if (other.supported && std::abs(other.centre_m - chosen.centre_m) < reach_m) {
            best.probability += each(static_cast<Eigen::Index>(s) + 1);
        }
    }
    return best;
}

// What is more likely than not, as a column of the model; empty when nothing is.
std::vector<Trend> likeliest(const Evidence& evidence) {
    const Best of_break = best_break(evidence);
    const Best of_sag = best_sag(evidence);
    if (std::max(of_break.probability, of_sag.probability) <= 0.5) return {};
    if (of_break.probability >= of_sag.probability) {
        return {{TrendKind::grade_break, evidence.breaks[of_break.place].station_m, 0.0, kBreakSd}};
    }
    const SagPlace& sag = evidence.sags[of_sag.place];
    return {{TrendKind::sag, sag.centre_m, sag.width_m, sag.prior_sd_m}};
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

SagProducts sag_products(const Evidence& evidence, const Pair& pair) {
    const SagPlace& place = evidence.sags[pair.sag];
    if (!place.supported) return {0.0, 0.0, place.prior_sd_m};
    if (pair.break_row == 0) return {place.a, place.m, place.prior_sd_m};
    const BreakPlace& at = evidence.breaks[pair.break_row - 1];
    double phi_qb = 0.0;
    for (const SagPlace::InRow& touch : place.in_rows) phi_qb += touch.phi * at.q_b(touch.row);
    return {place.a - phi_qb * phi_qb / at.divisor, place.m + phi_qb * at.b_qy / at.divisor,
            place.prior_sd_m};
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

Evidence weigh_evidence(const RunRows& run, const std::vector<Row>& used, double scatter) {
    std::vector<Trend> certain;
    Evidence evidence = weigh_with(run, used, scatter, certain);
    const double log_evidence_of_all = evidence.log_evidence_of_all;
    for (int round = 0; round < kMostCertain; ++round) {
        const std::vector<Trend> next = likeliest(evidence);
        if (next.empty()) break;
        certain.insert(certain.end(), next.begin(), next.end());
        Evidence further = weigh_with(run, used, scatter, certain);
        if (likeliest(further).empty()) break;
        evidence = std::move(further);
    }
    evidence.log_evidence_of_all = log_evidence_of_all;
    return evidence;
}

std::vector<double> likely_breaks_m(const Evidence& evidence) {
    std::vector<double> stations;
    for (const Trend& trend : evidence.certain) {
        if (trend.kind == TrendKind::grade_break) stations.push_back(trend.at_m);
    }
    const Best best = best_break(evidence);
    if (best.probability > 0.5) stations.push_back(evidence.breaks[best.place].station_m);
    std::ranges::sort(stations);
    return stations;
}

}  // namespace sondeline::grade
