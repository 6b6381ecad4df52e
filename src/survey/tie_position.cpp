#include <algorithm>
#include <cmath>

#include <Eigen/Dense>

#include "survey/ties.hpp"

namespace sondeline {

namespace {

using Eigen::Matrix2d;
using Eigen::Vector2d;

Vector2d vector_of(PlanPoint point) {
    return {point.e_m, point.n_m};
}
PlanPoint point_of(const Vector2d& v) {
    return {v.x(), v.y()};
}
PlanCovariance covariance_of(const Matrix2d& m) {
    return {m(0, 0), m(0, 1), m(1, 1)};
}
Matrix2d matrix_of(const PlanCovariance& c) {
    Matrix2d m;
    m << c.ee, c.en, c.en, c.nn;
    return m;
}

// What a tape and the mark it starts from are good for along the tape.
double tape_variance(const TapedDistance& tape, const Vector2d& along) {
    return tape.sd_m * tape.sd_m + along.dot(matrix_of(tape.from_cov) * along);
}

struct Pair {
    Vector2d left;
    Vector2d right;
    double gap_m = 0.0;     // positive: the circles do not meet
    double offset_m = 0.0;  // from the baseline
};

Pair intersect(const TapedDistance& a, const TapedDistance& b) {
    const Vector2d from = vector_of(a.from);
    const Vector2d base = vector_of(b.from) - from;
    const double length = base.norm();
    if (length < 1e-6) return {from, from, 1e9, 0.0};
    const Vector2d e = base / length;
    const Vector2d n(-e.y(), e.x());
    const double x = (length * length + a.distance_m * a.distance_m - b.distance_m * b.distance_m) /
                     (2.0 * length);
    const double square = a.distance_m * a.distance_m - x * x;
    const double h = std::sqrt(std::max(0.0, square));
    const double gap = std::max({0.0, length - a.distance_m - b.distance_m,
                                 std::abs(a.distance_m - b.distance_m) - length});
    return {from + x * e + h * n, from + x * e - h * n, gap, h};
}

Matrix2d information_at(const std::vector<TapedDistance>& tapes, const Vector2d& at) {
    Matrix2d information = Matrix2d::Zero();
    for (const TapedDistance& tape : tapes) {
        const Vector2d ray = at - vector_of(tape.from);
        if (ray.norm() < 1e-6) continue;
        const Vector2d u = ray.normalized();
        information += u * u.transpose() / tape_variance(tape, u);
    }
    return information;
}

// Near the baseline the two places run into each other and straight error propagation fails: the
// spread is then at least half their distance.
Matrix2d covariance_of_two(const std::vector<TapedDistance>& tapes, const Pair& pair,
                           const Vector2d& at) {
    const Matrix2d information = information_at(tapes, at);
    Matrix2d covariance = Matrix2d::Identity() * 1e4;
    if (information.determinant() > 1e-9) covariance = information.inverse();
    const double length = (vector_of(tapes[1].from) - vector_of(tapes[0].from)).norm();
    const double sd = std::max(tapes[0].sd_m, tapes[1].sd_m);
    const Vector2d ray1 = (at - vector_of(tapes[0].from)).normalized();
    const Vector2d ray2 = (at - vector_of(tapes[1].from)).normalized();
    const double crossing = std::abs(ray1.x() * ray2.y() - ray1.y() * ray2.x());
    constexpr double sin_15_degrees = 0.2588;
    if (crossing < sin_15_degrees || pair.offset_m < 4.0 * std::sqrt(sd * length)) {
        const double half = (pair.left - pair.right).norm() / 2.0;
        const double least = std::max(half, std::sqrt(sd * length));
        const Vector2d across = Vector2d(-(vector_of(tapes[1].from) - vector_of(tapes[0].from)).y(),
                                         (vector_of(tapes[1].from) - vector_of(tapes[0].from)).x())
                                    .normalized();
        const double now = across.dot(covariance * across);
        if (now > 1e3) covariance = Matrix2d::Identity() * sd * sd;
        if (now < least * least || now > 1e3) {
            covariance += across * across.transpose() * least * least;
        }
    }
    return covariance;
}

// Nearer to one place than to the other by three standard deviations.
std::optional<bool> left_by_rough(const Pair& pair, const PlanFix& rough) {
    const Vector2d at = vector_of(rough.at);
    const double sd = std::sqrt(std::max(rough.cov.ee, rough.cov.nn));
    const double difference = (at - pair.right).norm() - (at - pair.left).norm();
    if (std::abs(difference) < 3.0 * sd) return std::nullopt;
    return difference > 0.0;
}

TiePosition from_two(const std::vector<TapedDistance>& tapes, TieSide side,
                     const std::optional<PlanFix>& rough) {
    TiePosition result;
    const Pair pair = intersect(tapes[0], tapes[1]);
    result.gap_m = pair.gap_m;
    const double sd = std::hypot(tapes[0].sd_m, tapes[1].sd_m);
    if (pair.gap_m > 3.0 * sd) {
        result.outcome = TieOutcome::do_not_meet;
        return result;
    }
    const bool one_place = (pair.left - pair.right).norm() < 6.0 * sd;
    std::optional<bool> left;
    if (side != TieSide::unknown) left = side == TieSide::left;
    if (!left && rough) left = left_by_rough(pair, *rough);
    if (!left && !one_place) {
        result.outcome = TieOutcome::ambiguous;
        return result;
    }
    const Vector2d at = left.value_or(true) ? pair.left : pair.right;
    result.position = {point_of(at), covariance_of(covariance_of_two(tapes, pair, at))};
    result.outcome = TieOutcome::solved;
    return result;
}

double cost_at(const std::vector<TapedDistance>& tapes, const Vector2d& at) {
    double cost = 0.0;
    for (const TapedDistance& tape : tapes) {
        const Vector2d ray = at - vector_of(tape.from);
        const double residual = ray.norm() - tape.distance_m;
        const Vector2d u = ray.norm() > 1e-9 ? Vector2d(ray.normalized()) : Vector2d(1.0, 0.0);
        cost += residual * residual / tape_variance(tape, u);
    }
    return cost;
}

Vector2d refined(const std::vector<TapedDistance>& tapes, Vector2d at) {
    for (int step = 0; step < 30; ++step) {
        Vector2d gradient = Vector2d::Zero();
        for (const TapedDistance& tape : tapes) {
            const Vector2d ray = at - vector_of(tape.from);
            if (ray.norm() < 1e-9) continue;
            const Vector2d u = ray.normalized();
            gradient += u * (tape.distance_m - ray.norm()) / tape_variance(tape, u);
        }
        const Matrix2d information = information_at(tapes, at);
        if (information.determinant() < 1e-9) break;
        const Vector2d move = information.ldlt().solve(gradient);
        at += move;
        if (move.norm() < 1e-7) break;
    }
    return at;
}

// On which side of the line from the first mark to the second.
bool is_left(const std::vector<TapedDistance>& tapes, const Vector2d& at) {
    const Vector2d base = vector_of(tapes[1].from) - vector_of(tapes[0].from);
    const Vector2d ray = at - vector_of(tapes[0].from);
    return base.x() * ray.y() - base.y() * ray.x() > 0.0;
}

TiePosition from_many(const std::vector<TapedDistance>& tapes, TieSide side) {
    TiePosition result;
    std::vector<std::pair<double, Vector2d>> found;
    double least = 1e300;
    Vector2d best = Vector2d::Zero();
    for (std::size_t i = 0; i < tapes.size(); ++i) {
        for (std::size_t k = i + 1; k < tapes.size(); ++k) {
            const Pair pair = intersect(tapes[i], tapes[k]);
            for (const Vector2d& start : {pair.left, pair.right}) {
                const Vector2d at = refined(tapes, start);
                const double cost = cost_at(tapes, at);
                if (side != TieSide::unknown && is_left(tapes, at) != (side == TieSide::left)) {
                    continue;
                }
                found.emplace_back(cost, at);
                if (cost < least) {
                    least = cost;
                    best = at;
                }
            }
        }
    }
    // Marks on one line leave two places that fit alike.
    constexpr double clearly_worse = 9.0;
    for (const auto& [cost, at] : found) {
        if (cost < least + clearly_worse && (at - best).norm() > 6.0 * tapes.front().sd_m) {
            result.outcome = TieOutcome::ambiguous;
            return result;
        }
    }
    // χ² at 1 % for 1, 2, 3 degrees of freedom (from memory, standard tables).
    constexpr double limits[] = {6.635, 9.210, 11.345};
    const std::size_t freedom = std::min<std::size_t>(tapes.size() - 2, 3);
    result.outcome = least > limits[freedom - 1] ? TieOutcome::does_not_fit : TieOutcome::solved;
    result.gap_m = std::sqrt(least) * tapes.front().sd_m;
    const Matrix2d information = information_at(tapes, best);
    if (information.determinant() < 1e-9) {
        result.outcome = TieOutcome::ambiguous;
        return result;
    }
    result.position = {point_of(best), covariance_of(information.inverse())};
    return result;
}

}  // namespace

TiePosition position_from_ties(const std::vector<TapedDistance>& tapes, TieSide side,
                               const std::optional<PlanFix>& rough) {
    if (tapes.size() < 2) return {};
    return tapes.size() == 2 ? from_two(tapes, side, rough) : from_many(tapes, side);
}

}  // namespace sondeline
