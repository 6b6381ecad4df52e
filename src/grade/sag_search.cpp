#include "grade/sag_search.hpp"

#include <algorithm>

#include "grade/student.hpp"

namespace sondeline::grade {

namespace {

using Index = Eigen::Index;

constexpr double kCarriedBelow = 0.95;
constexpr std::size_t kMostSags = 4;
// One piece of a level in so many may be bad.
constexpr std::ptrdiff_t kGoodPieces = 10;
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

// The one of the wanted rows without which the sag is least shown, if it is then shown less than 1
// time in 20.
std::optional<std::size_t> carrier(const SagTest& test, const SagPlace& place, auto wanted) {
    std::optional<std::size_t> carrier;
    double least = 1.0;
    for (const SagPlace::InRow& touch : place.in_rows) {
        const auto i = static_cast<std::size_t>(touch.row);
        if (!wanted(test.rows[i], touch.phi)) continue;
        const TestedSag sag = tested_sag(without(test, touch.row), place);
        const double over = sag.t / student_quantile(kCarriedBelow, sag.freedom);
        if (over >= least) continue;
        least = over;
        carrier = i;
    }
    return carrier;
}

bool is_dipping_depth(const Row& row, double phi) {
    return says_height(row) && may_be_outlier(row) && phi > 0.0;
}

bool is_piece_of_level(const Row& row, double /*phi*/) {
    return is_level_log(row);
}

// A level scatters with far more bad pieces than Student's test allows for, and a sag bends several
// pieces: what one piece alone shows is a bad piece. Index into the test's rows.
std::optional<std::size_t> bad_piece(const SagTest& test) {
    const auto most = stands_out_most(test);
    if (!most) return std::nullopt;
    return carrier(test, *most->place, is_piece_of_level);
}

std::optional<ShownSag> most_shown(const SagTest& test) {
    const auto most = stands_out_most(test);
    if (!most) return std::nullopt;
    const SagPlace& place = *most->place;
    return ShownSag{place.centre_m, place.width_m, most->sag.depth_m,
                    carrier(test, place, is_dipping_depth)};
}

// The test without the bad pieces of a level, which leave `rows`: those stand last, so that the
// other rows keep their index.
SagTest test_of_good_pieces(const RunRows& run, const std::vector<Trend>& trends, double scatter,
                            std::vector<Row>& rows) {
    SagTest test = sag_test(run, rows, trends, scatter);
    for (std::ptrdiff_t left = std::ranges::count_if(rows, is_level_log) / kGoodPieces; left > 0;
         --left) {
        const auto piece = bad_piece(test);
        if (!piece) break;
        rows.erase(rows.begin() + static_cast<std::ptrdiff_t>(*piece));
        test = sag_test(run, rows, trends, scatter);
    }
    return test;
}

}  // namespace

SagSearch search_sags(const RunRows& run, const std::vector<Row>& used, const Evidence& evidence,
                      double scatter) {
    const std::vector<Trend> unsagged = unsagged_trends(run, evidence);
    SagSearch search;
    std::vector<Row> rows = used;
    search.test = test_of_good_pieces(run, unsagged, scatter, rows);
    SagTest further = search.test;
    std::vector<Trend> trends = unsagged;
    while (search.shown.size() < kMostSags) {
        const auto sag = most_shown(further);
        if (!sag) break;
        search.shown.push_back(*sag);
        trends.push_back({TrendKind::sag, sag->centre_m, sag->width_m, kShownSd_m});
        further = test_of_good_pieces(run, trends, further.scatter, rows);
    }
    // Beside the likeliest sag of a run that has none, less seems to wander than beside one that is
    // there: sizes are stated by what wanders in the run as it is.
    search.test.locator_wander = run.wander.share;
    const double left = search.shown.size() > 1 ? further.scatter : search.test.scatter;
    solve_at(run, unsagged, left, search.test);
    return search;
}

}  // namespace sondeline::grade
