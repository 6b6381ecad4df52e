#include "grade/sag_test.hpp"

#include <algorithm>
#include <cmath>

#include "grade/normal.hpp"
#include "grade/student.hpp"
#include "grade/tail_bound.hpp"

namespace sondeline::grade {

namespace {

using Index = Eigen::Index;

// One straight run in 20 may raise a false alarm. A fifth of that is left to suspected ponds and to
// depths too deep to be believed (measured by grade_bench on tuning seeds).
constexpr double kFalseAlarms = 0.04;
constexpr int kScatterRounds = 4;
constexpr double kSettled = 1e-3;
constexpr double kStep = 0.125;  // of the width
constexpr double kMostPlacesPerWidth = 300.0;

// Twice as close as the evidence weighs them: between its places a level's sag loses a tenth of
// its t.
std::vector<SagPlace> supported_places(double length_m, const std::vector<Row>& rows) {
    std::vector<SagPlace> places;
    for (const double width_m : kSagWidths_m) {
        if (width_m > kWidestSag * length_m) break;
        const double room_m = length_m - width_m;
        const double steps =
            std::clamp(std::ceil(room_m / (kStep * width_m)), 1.0, kMostPlacesPerWidth);
        for (double i = 0.0; i <= steps; i += 1.0) {
            SagPlace place = sag_place({width_m / 2.0 + room_m * i / steps, width_m}, rows);
            if (place.supported) places.push_back(std::move(place));
        }
    }
    return places;
}

Eigen::VectorXd stated_variances(const std::vector<Row>& used) {
    Eigen::VectorXd stated = Eigen::VectorXd::Zero(std::ssize(used));
    for (Index i = 0; i < stated.size(); ++i) {
        const Row& row = used[static_cast<std::size_t>(i)];
        if (scatters(row)) stated(i) = row.sd_m * row.sd_m;
    }
    return stated;
}

double with_prior(double squares, double freedom) {
    return (kScatterFreedom + squares) / (kScatterFreedom + freedom);
}

// Of each place with its neighbour of the same width or with the one of the width before that lies
// nearest, whichever is more.
std::vector<double> correlations(const SagTest& test) {
    std::vector<double> found;
    std::vector<Eigen::VectorXd> before;
    std::vector<Eigen::VectorXd> of_width;
    std::size_t before_from = 0;
    std::size_t width_from = 0;
    std::vector<double> sd;
    for (std::size_t i = 0; i < test.places.size(); ++i) {
        const SagPlace& place = test.places[i];
        if (place.width_m != test.places[width_from].width_m) {
            before = std::move(of_width);
            of_width.clear();
            before_from = width_from;
            width_from = i;
        }
        of_width.push_back(q_phi(test, place));
        sd.push_back(std::sqrt(std::max(0.0, in_place(place, of_width.back()))));
        if (i == 0) continue;
        double most = 0.0;
        const auto with = [&](std::size_t other, const Eigen::VectorXd& product) {
            const double scale = sd[i] * sd[other];
            if (scale > 0.0) most = std::max(most, in_place(place, product) / scale);
        };
        if (i > width_from) with(i - 1, of_width[i - 1 - width_from]);
        std::size_t nearest = before_from;
        for (std::size_t k = before_from; k < before_from + before.size(); ++k) {
            const auto away_m = [&](std::size_t at) {
                return std::abs(test.places[at].centre_m - place.centre_m);
            };
            if (away_m(k) < away_m(nearest)) nearest = k;
        }
        if (!before.empty()) with(nearest, before[nearest - before_from]);
        found.push_back(most);
    }
    return found;
}

}  // namespace

Eigen::VectorXd q_phi(const SagTest& test, const SagPlace& place) {
    Eigen::VectorXd product = Eigen::VectorXd::Zero(test.model.qy.size());
    for (const SagPlace::InRow& touch : place.in_rows) {
        product += touch.phi * test.model.q.col(touch.row);
    }
    return product;
}

double in_place(const SagPlace& place, const Eigen::VectorXd& rows) {
    double sum = 0.0;
    for (const SagPlace::InRow& touch : place.in_rows) sum += touch.phi * rows(touch.row);
    return sum;
}

void solve_at(const RunRows& run, const std::vector<Trend>& trends, double scatter, SagTest& test) {
    test.scatter = scatter;
    ModelInput input{&test.rows, &run.ground, scatter};
    input.locator_wander = test.locator_wander;
    test.model = solve_model(input, trends);
    test.squares = scatter * scatter * test.stated_m2.dot(test.model.qy.cwiseAbs2());
    test.freedom = scatter * test.stated_m2.dot(test.model.q.diagonal());
}

SagTest sag_test(const RunRows& run, const std::vector<Row>& used, const std::vector<Trend>& trends,
                 double scatter) {
    SagTest test;
    test.rows = used;
    test.scatter = scatter;
    test.locator_wander = run.wander.beside_sag;
    test.stated_m2 = stated_variances(used);
    test.places = supported_places(run.length_m, used);
    for (int round = 0; round < kScatterRounds; ++round) {
        solve_at(run, trends, test.scatter, test);
        if (round == 0 && !test.places.empty()) {
            test.chance_each = normal_cdf(-threshold_of_largest(kFalseAlarms, correlations(test)));
        }
        // What stands out is none of the depths' scatter.
        const auto most = stands_out_most(test);
        const double next = most ? most->sag.scatter : with_prior(test.squares, test.freedom);
        const bool settled = std::abs(next - test.scatter) < kSettled;
        test.scatter = next;
        if (settled) break;
    }
    solve_at(run, trends, test.scatter, test);
    return test;
}

TestedSag tested_sag(const SagTest& test, const SagPlace& place) {
    TestedSag sag;
    const Eigen::VectorXd qp = q_phi(test, place);
    const double a = in_place(place, qp);
    if (!(a > 0.0)) return sag;
    const double s = test.scatter;
    const double depth_m = -in_place(place, test.model.qy) / a;
    // How much of the depth's variance is scatter: d ln(1/a)/d ln s = s·Σσ²(Qφ)²/a. It is also what
    // the sag takes of the freedom.
    const double share = s * test.stated_m2.dot(qp.cwiseAbs2()) / a;
    const double squares = s * s * test.stated_m2.dot((test.model.qy + depth_m * qp).cwiseAbs2());
    sag.scatter = with_prior(squares, test.freedom - share);
    sag.depth_m = {depth_m, std::sqrt(std::pow(sag.scatter / s, share) / a)};
    sag.t = depth_m / sag.depth_m.sd;
    // Satterthwaite: the variance is as uncertain as its share of scatter.
    sag.freedom = (kScatterFreedom + test.freedom - share) / (share * share);
    return sag;
}

double alarm_threshold(const SagTest& test, double freedom) {
    return student_quantile(1.0 - test.chance_each, freedom);
}

std::optional<StandsOut> stands_out_most(const SagTest& test) {
    std::optional<StandsOut> most;
    double most_over = 1.0;
    for (const SagPlace& place : test.places) {
        const TestedSag sag = tested_sag(test, place);
        const double over = sag.t / alarm_threshold(test, sag.freedom);
        if (over <= most_over) continue;
        most_over = over;
        most = StandsOut{&place, sag};
    }
    return most;
}

}  // namespace sondeline::grade
