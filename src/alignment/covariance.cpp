#include "alignment/covariance.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <Eigen/Cholesky>
#include <Eigen/LU>

#include "alignment/blind_ends.hpp"

namespace sondeline::alignment {
namespace {

// A rival of less weight than this lends its line but not its own covariance, which differs from
// the chosen model's too little to matter at that weight.
constexpr double weight_for_own_spread = 0.02;

// Derivatives of (e0, n0, e1, n1, …) at the stations, a column each.
Eigen::MatrixXd point_derivatives(const RunLine& line, const std::vector<double>& x_m) {
    Eigen::MatrixXd columns(line.columns().all(), static_cast<Eigen::Index>(2 * x_m.size()));
    for (std::size_t i = 0; i < x_m.size(); ++i) {
        const auto at = static_cast<Eigen::Index>(2 * i);
        line.derivative(x_m[i], columns.col(at), columns.col(at + 1));
    }
    return columns;
}

// d(length)/d(unknowns) at x: length L by both scales, −scale by each slip.
void add_length_derivative(const RunModel& model, double reel_scale, double x_m,
                           Eigen::VectorXd& d) {
    const Columns columns = columns_of(model);
    d(Columns::own_scale) = d(columns.reel_scale()) = pipe_length_m(model, reel_scale, x_m);
    for (int k = 0; k < columns.bends; ++k) {
        d(columns.bend_slip(k)) = -std::exp(reel_scale + model.own_scale);
    }
}

Columns columns_of(const LoneRun& lone) {
    return RunLine(lone.state.runs[0], place_of(lone.problem, lone.state, 0)).columns();
}

// The spread of one model before it is multiplied out. With N = L·Lᵀ and J the derivatives of the
// points by column, A = L⁻¹·J gives their covariance as AᵀA.
struct SpreadFactor {
    Eigen::MatrixXd points;  // A
    double length_variance = 0.0;
    Eigen::LLT<Eigen::MatrixXd> normal;
};

std::optional<SpreadFactor> spread_factor(const LoneRun& lone, const std::vector<double>& x_m,
                                          FixLoss loss) {
    const Linearised at = linearise(lone.problem, lone.state, {.fixes = loss});
    Eigen::MatrixXd normal = at.runs[0].normal;
    normal.bottomRightCorner(at.shared_normal.rows(), at.shared_normal.cols()) += at.shared_normal;
    SpreadFactor out;
    out.normal.compute(normal);
    if (out.normal.info() != Eigen::Success) return std::nullopt;
    const RunPlace place = place_of(lone.problem, lone.state, 0);
    out.points = point_derivatives(RunLine(lone.state.runs[0], place), x_m);
    out.normal.matrixL().solveInPlace(out.points);
    Eigen::VectorXd length = Eigen::VectorXd::Zero(normal.rows());
    add_length_derivative(lone.state.runs[0], place.reel_scale, lone.problem.runs[0]->x_end_m,
                          length);
    out.normal.matrixL().solveInPlace(length);
    out.length_variance = length.squaredNorm();
    return out;
}

double variance_along(const SpreadFactor& factor, const Eigen::VectorXd& direction) {
    return factor.normal.matrixL().solve(direction).squaredNorm();
}

Eigen::VectorXd unit(int column, int size) {
    return Eigen::VectorXd::Unit(size, column);
}

Spread multiplied_out(const SpreadFactor& factor, const Columns& columns) {
    Spread out;
    const Eigen::Index n = factor.points.cols();
    out.shift_m.setZero(n);
    out.points.setZero(n, n);
    out.points.selfadjointView<Eigen::Lower>().rankUpdate(factor.points.transpose());
    out.points.triangularView<Eigen::StrictlyUpper>() = out.points.transpose();
    out.length_variance = factor.length_variance;
    out.scale_variance = variance_along(factor, unit(Columns::own_scale, columns.all()) +
                                                    unit(columns.reel_scale(), columns.all()));
    out.bend_x_variance.resize(columns.bends);
    out.bend_angle_variance.resize(columns.bends);
    for (int k = 0; k < columns.bends; ++k) {
        out.bend_x_variance(k) = variance_along(factor, unit(columns.bend_x(k), columns.all()));
        out.bend_angle_variance(k) =
            variance_along(factor, unit(columns.bend_angle(k), columns.all()));
    }
    return out;
}

Eigen::VectorXd points_of(const RunLine& line, const std::vector<double>& x_m) {
    Eigen::VectorXd points(2 * static_cast<Eigen::Index>(x_m.size()));
    for (std::size_t i = 0; i < x_m.size(); ++i) {
        points.segment<2>(2 * static_cast<Eigen::Index>(i)) = line.at(x_m[i]);
    }
    return points;
}

void add_blind_ends(const LoneRun& lone, const std::vector<double>& x_m, FixLoss loss,
                    Spread& spread) {
    const double x_end = lone.problem.runs[0]->x_end_m;
    const ObservedStretch seen = observed_stretch(lone, loss);
    if (seen.first_x_m > seen.last_x_m) return;  // nothing holds it: it will not be drawn
    const RunLine line(lone.state.runs[0], place_of(lone.problem, lone.state, 0));
    const Eigen::Matrix2d start_m2 = spread.points.topLeftCorner<2, 2>();
    const Eigen::Matrix2d end_m2 = spread.points.bottomRightCorner<2, 2>();
    for (const BlindEnd& end : {BlindEnd{seen.last_x_m, x_end}, BlindEnd{seen.first_x_m, 0.0}}) {
        if (end.from_x_m == end.to_x_m) continue;
        widen_for_blind_end(line, end, x_m, spread.points);
        spread.length_variance += bend_probability(end) * bend_slip_sd_m * bend_slip_sd_m;
    }
    spread.blind_start_m2 = spread.points.topLeftCorner<2, 2>() - start_m2;
    spread.blind_end_m2 = spread.points.bottomRightCorner<2, 2>() - end_m2;
}

// `out` holds the spread of the chosen model, pool.front(), and becomes that of them all.
void average_over(const std::vector<Candidate>& pool, const LoneRun& lone,
                  const std::vector<double>& x_m, FixLoss loss, Spread& out) {
    const std::vector<double> weights = weights_of(pool);
    const double x_end = lone.problem.runs[0]->x_end_m;
    const auto length_of = [&](const State& state) {
        return pipe_length_m(state.runs[0], state.shared(4), x_end);
    };
    const RunLine line(lone.state.runs[0], place_of(lone.problem, lone.state, 0));
    const Eigen::VectorXd points = points_of(line, x_m);
    double like_chosen = weights.front();
    Eigen::MatrixXd sum = Eigen::MatrixXd::Zero(points.size(), points.size());
    auto lower = sum.selfadjointView<Eigen::Lower>();
    Eigen::VectorXd shift = Eigen::VectorXd::Zero(points.size());
    double length_sum = 0.0;
    double used = weights.front();
    for (std::size_t i = 1; i < pool.size(); ++i) {
        if (weights[i] < least_weight) continue;
        const LoneRun rival{lone.problem, pool[i].state};
        const bool own = weights[i] >= weight_for_own_spread;
        const std::optional<SpreadFactor> factor =
            own ? spread_factor(rival, x_m, loss) : std::nullopt;
        if (own && !factor) continue;
        if (factor) lower.rankUpdate(factor->points.transpose(), weights[i]);
        if (factor) length_sum += weights[i] * factor->length_variance;
        if (!factor) like_chosen += weights[i];
        const RunLine other(rival.state.runs[0], place_of(rival.problem, rival.state, 0));
        const Eigen::VectorXd off = points_of(other, x_m) - points;
        lower.rankUpdate(off, weights[i]);
        shift += weights[i] * off;
        const double longer = length_of(rival.state) - length_of(lone.state);
        length_sum += weights[i] * longer * longer;
        used += weights[i];
    }
    if (!(used > 0.0)) return;
    sum.triangularView<Eigen::StrictlyUpper>() = sum.transpose();
    out.shift_m = shift / used;
    out.points = (like_chosen * out.points + sum) / used - out.shift_m * out.shift_m.transpose();
    out.length_variance = (like_chosen * out.length_variance + length_sum) / used;
}

}  // namespace

double pipe_length_m(const RunModel& model, double reel_scale, double x_m) {
    double moved = x_m;
    for (const BendUnknown& bend : model.bends) {
        if (bend.x_m < x_m) moved -= bend.slip_m;
    }
    return std::exp(reel_scale + model.own_scale) * moved;
}

std::optional<Eigen::MatrixXd> unknowns_covariance(const LoneRun& lone, FixLoss loss) {
    const Linearised at = linearise(lone.problem, lone.state, {.fixes = loss});
    Eigen::MatrixXd normal = at.runs[0].normal;
    normal.bottomRightCorner(at.shared_normal.rows(), at.shared_normal.cols()) += at.shared_normal;
    const Eigen::LLT<Eigen::MatrixXd> factor(normal);
    if (factor.info() != Eigen::Success) return std::nullopt;
    return factor.solve(Eigen::MatrixXd::Identity(normal.rows(), normal.cols()));
}

std::optional<Spread> own_spread(const LoneRun& lone, const std::vector<double>& x_m,
                                 FixLoss loss) {
    const std::optional<SpreadFactor> factor = spread_factor(lone, x_m, loss);
    if (!factor) return std::nullopt;
    return multiplied_out(*factor, columns_of(lone));
}

std::optional<Spread> averaged_spread(const LoneRun& lone, const std::vector<double>& x_m,
                                      FixLoss loss, const std::vector<Candidate>& pool) {
    const std::optional<SpreadFactor> chosen = spread_factor(lone, x_m, loss);
    if (!chosen) return std::nullopt;
    Spread out = multiplied_out(*chosen, columns_of(lone));
    average_over(pool, lone, x_m, loss, out);
    add_blind_ends(lone, x_m, loss, out);
    return out;
}

EndWidening end_widening(const Spread& own, const Spread& averaged) {
    const auto ratio = [&](Eigen::Index at) {
        const double before = own.points.block<2, 2>(at, at).trace();
        const double after = averaged.points.block<2, 2>(at, at).trace();
        return before > 0.0 ? std::max(1.0, after / before) : 1.0;
    };
    return {ratio(0), ratio(own.points.rows() - 2)};
}

EndWidening end_widening(const LoneRun& lone, FixLoss loss) {
    const std::vector<double> ends{0.0, lone.problem.runs[0]->x_end_m};
    const std::optional<Spread> own = own_spread(lone, ends, loss);
    const std::optional<Spread> averaged =
        averaged_spread(lone, ends, loss, rival_models(lone, loss));
    if (!own || !averaged) return {};
    return end_widening(*own, *averaged);
}

}  // namespace sondeline::alignment
