#include "grade/sag_search.hpp"

#include <algorithm>

#include "grade/student.hpp"

namespace sondeline::grade {

namespace {

using Index = Eigen::Index;

constexpr double kCarriedBelow = 0.95;
constexpr std::size_t kMostSags = 4;
// As good as none: what has been shown is not doubted again.
constexpr double kShownSd_m = 1.0;

// The grade with its breaks, and no sag: that is what is asked.
std::vector<Trend> unsagged_trends(const RunRows& run, const Evidence& evidence) {
    std::vector<Trend> trends = plain_trends(run);
    for (const double station_m : likely_breaks_m(evidence)) {
        trends.push_back({TrendKind::grade_break, station_m, 0.0, kBreakSd});
    }
    return trends;
}

// The test with one row out of use: Q − q_r q_rᵀ/Q_rr.
SagTest without(const SagTest& test, Index row) {
    SagTest less = test;
    const Eigen::VectorXd q_r = test.model.q.col(row);
    less.model.q -= q_r * q_r.transpose() / q_r(row);
    less.model.qy -= q_r * (test.model.qy(row) / q_r(row));
    const double s = test.scatter;
    less.squares = s * s * less.stated_m2.dot(less.model.qy.cwiseAbs2());
    less.freedom = s * less.stated_m2.dot(less.model.q.diagonal());
    return less;
}

std::optional<std::size_t> carrier(const SagTest& test, const SagPlace& place) {
    std::optional<std::size_t> carrier;
    double least = 1.0;
    for (const SagPlace::InRow& touch : place.in_rows) {
        const auto i = static_cast<std::size_t>(touch.row);
        const Row& row = test.rows[i];
        if (!says_height(row) || !may_be_outlier(row) || touch.phi <= 0.0) continue;
        const TestedSag sag = tested_sag(without(test, touch.row), place);
        const double over = sag.t / student_quantile(kCarriedBelow, sag.freedom);
        if (over >= least) continue;
        least = over;
        carrier = i;
    }
    return carrier;
}

std::optional<ShownSag> most_shown(const SagTest& test) {
    const auto most = stands_out_most(test);
    if (!most) return std::nullopt;
    const SagPlace& place = *most->place;
    return ShownSag{place.centre_m, place.width_m, most->sag.depth_m, carrier(test, place)};
}

}  // namespace

SagSearch search_sags(const RunRows& run, const std::vector<Row>& used, const Evidence& evidence,
                      double scatter) {
    const std::vector<Trend> unsagged = unsagged_trends(run, evidence);
    SagSearch search;
    search.test = sag_test(run, used, unsagged, scatter);
    SagTest further = search.test;
    std::vector<Trend> trends = unsagged;
    while (search.shown.size() < kMostSags) {
        const auto sag = most_shown(further);
        if (!sag) break;
        search.shown.push_back(*sag);
        trends.push_back({TrendKind::sag, sag->centre_m, sag->width_m, kShownSd_m});
        further = sag_test(run, used, trends, further.scatter);
    }
    if (search.shown.size() > 1) solve_at(run, unsagged, further.scatter, search.test);
    return search;
}

}  // namespace sondeline::grade
