#include "grade/hypotheses.hpp"

#include <algorithm>
#include <cmath>

namespace sondeline::grade {

namespace {

constexpr int kMostCertain = 4;
// A break more likely than not only because the run is long is no finding of the data.
constexpr double kOddsGain = 3.0;

struct Prior {
    double none = 0.0;  // logarithms
    double each = 0.0;
};

Prior even_prior(double p_any, std::size_t places) {
    if (places == 0 || p_any <= 0.0) return {0.0, 0.0};
    return {std::log1p(-p_any), std::log(p_any) - std::log(static_cast<double>(places))};
}

void weigh(Evidence& evidence, double length_m) {
    const std::size_t n_breaks = evidence.breaks.size();
    const std::size_t n_sags = evidence.sags.size();
    evidence.prior_break = prior_break(length_m, evidence.breaks);
    evidence.prior_sag = prior_sag(length_m, evidence.sags);
    const Prior for_break = even_prior(evidence.prior_break, n_breaks);
    const std::vector<double> for_sag = log_sag_priors(evidence.prior_sag, evidence.sags);
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
    ModelInput input{&used, &run.ground, scatter};
    input.locator_wander = run.wander.share;
    evidence.model = solve_model(input, trends);
    evidence.sags = sag_places(run.length_m, used);
    set_products(evidence.model, evidence.sags);
    evidence.breaks = break_places(run.length_m, used, evidence.model);
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
