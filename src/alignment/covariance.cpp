#include "alignment/covariance.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <Eigen/Cholesky>
#include <Eigen/LU>

#include "alignment/aimed_bends.hpp"
#include "alignment/blind_ends.hpp"

namespace sondeline::alignment {
namespace {

constexpr double least_weight = 2e-3;
// A rival of less weight than this lends its line but not its own covariance, which differs from
// the chosen model's too little to matter at that weight.
constexpr double weight_for_own_spread = 0.02;
constexpr std::size_t kept_per_gap = 2;
constexpr double hopeless_score = 12.0;  // worse than the best by this: weight below 0.0025
constexpr StepLimits first_look{.steps = 4, .least_gain = 1e-2};

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

// A small turn is the same to the solver whichever side it swings; of a large one both are tried.
// Where no bend could pay for itself the small ones stand for all.
constexpr std::size_t small_turns = 2;
constexpr std::array<NewBend, 6> rival_turns{{{.angle_rad = -0.05},
                                              {.angle_rad = 0.05},
                                              {.angle_rad = -0.9},
                                              {.angle_rad = 0.9},
                                              {.angle_rad = -0.9, .front = true},
                                              {.angle_rad = 0.9, .front = true}}};

void add_rivals_in_gap(const Problem& problem, const State& chosen, double x_m, std::size_t turns,
                       FixLoss loss, std::vector<Candidate>& pool) {
    std::vector<std::pair<double, State>> tried;
    for (std::size_t i = 0; i < turns; ++i) {
        NewBend bend = rival_turns[i];
        bend.x_m = x_m;
        State state = with_bend(chosen, bend, problem.runs[0]->x_end_m);
        const double cost = solve(problem, state, {.fixes = loss}, first_look);
        tried.emplace_back(cost, std::move(state));
    }
    std::stable_sort(tried.begin(), tried.end(),
                     [](const auto& a, const auto& b) { return a.first < b.first; });
    for (std::size_t i = 0; i < std::min(kept_per_gap, tried.size()); ++i) {
        const double score = score_of(problem, tried[i].second, {.fixes = loss});
        if (!(score < pool.front().score + hopeless_score)) continue;
        pool.push_back(converged(problem, std::move(tried[i].second), loss));
    }
}

// The stretch between the outermost things that hold the run.
struct ObservedStretch {
    double first_x_m = 0.0;
    double last_x_m = 0.0;
};

// A structure holds its end of the run when the rest of the job knows it within this.
constexpr double holds_end_sd_m = 1.0;

bool holds(const LoneRun& lone, int at) {
    const Eigen::MatrixXd covariance = lone.problem.shared.information.inverse();
    return covariance.block<2, 2>(at, at).trace() < holds_end_sd_m * holds_end_sd_m;
}

ObservedStretch observed_stretch(const LoneRun& lone, FixLoss loss) {
    const RunData& data = *lone.problem.runs[0];
    ObservedStretch seen{data.x_end_m, 0.0};
    const auto see = [&](double x_m) {
        seen.first_x_m = std::min(seen.first_x_m, std::max(0.0, x_m));
        seen.last_x_m = std::max(seen.last_x_m, std::min(data.x_end_m, x_m));
    };
    const RunLine line(lone.state.runs[0], place_of(lone.problem, lone.state, 0));
    const auto see_good = [&](const auto& datum) {
        const bool out = loss == FixLoss::plain ? datum.rejected
                                                : state_of(datum, line).outlier_probability > 0.5;
        if (!out) see(datum.x_m);
    };
    for (const PositionDatum& datum : data.positions) see_good(datum);
    for (const HeadingDatum& datum : data.headings) see_good(datum);
    if (holds(lone, 0)) see(0.0);
    if (data.to_node && holds(lone, 2)) see(data.x_end_m);
    return seen;
}

void add_blind_ends(const LoneRun& lone, const std::vector<double>& x_m, FixLoss loss,
                    Spread& spread) {
    const double x_end = lone.problem.runs[0]->x_end_m;
    const ObservedStretch seen = observed_stretch(lone, loss);
    if (seen.first_x_m > seen.last_x_m) return;  // nothing holds it: it will not be drawn
    const RunLine line(lone.state.runs[0], place_of(lone.problem, lone.state, 0));
    for (const BlindEnd& end : {BlindEnd{seen.last_x_m, x_end}, BlindEnd{seen.first_x_m, 0.0}}) {
        if (end.from_x_m == end.to_x_m) continue;
        widen_for_blind_end(line, end, x_m, spread.points);
        spread.length_variance += bend_probability(end) * bend_slip_sd_m * bend_slip_sd_m;
    }
}

// Weights that add up to 1; nil for a model whose score is not finite.
std::vector<double> weights_of(const std::vector<Candidate>& pool) {
    const auto belief = [](const Candidate& model) {
        return model.score -
               margin_per_bend * static_cast<double>(model.state.runs[0].bends.size());
    };
    double least = belief(pool.front());
    for (const Candidate& model : pool) least = std::min(least, belief(model));
    std::vector<double> weights;
    double sum = 0.0;
    for (const Candidate& model : pool) {
        const double weight =
            std::isfinite(model.score) ? std::exp(-0.5 * (belief(model) - least)) : 0.0;
        weights.push_back(weight);
        sum += weight;
    }
    for (double& weight : weights) weight /= sum;
    return weights;
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
        const double longer = length_of(rival.state) - length_of(lone.state);
        length_sum += weights[i] * longer * longer;
        used += weights[i];
    }
    if (!(used > 0.0)) return;
    sum.triangularView<Eigen::StrictlyUpper>() = sum.transpose();
    out.points = (like_chosen * out.points + sum) / used;
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

std::vector<Candidate> rival_models(const LoneRun& lone, FixLoss loss) {
    const Problem& problem = lone.problem;
    const RunModel& chosen = lone.state.runs[0];
    std::vector<Candidate> pool;
    // A rival may use a fix that the chosen model rejects, or the other way about, so the chosen
    // one is scored by its minimum under the same loss as they are.
    pool.push_back({lone.state, converged(problem, lone.state, loss).score});
    for (std::size_t k = 0; k < chosen.bends.size(); ++k) {
        pool.push_back(converged(problem, without_bend(lone.state, k), loss));
    }
    if (chosen.bends.size() < most_bends && has_room_for_bends(problem.runs[0]->x_end_m)) {
        const ObservedStretch seen = observed_stretch(lone, loss);
        const std::vector<double> promising = promising_gaps_m(problem, lone.state);
        for (const double x : gap_middles_m(*problem.runs[0])) {
            if (x < seen.first_x_m || x > seen.last_x_m) continue;
            const bool pays = std::find(promising.begin(), promising.end(), x) != promising.end();
            const std::size_t turns = pays ? rival_turns.size() : small_turns;
            add_rivals_in_gap(problem, lone.state, x, turns, loss, pool);
        }
    }
    for (State& aimed : aimed_at_rejected(problem, lone.state, most_bends)) {
        pool.push_back(converged(problem, std::move(aimed), loss));
    }
    std::vector<Candidate> distinct;
    for (Candidate& model : pool) {
        const bool seen = std::any_of(distinct.begin(), distinct.end(),
                                      [&](const Candidate& other) { return alike(model, other); });
        if (!seen) distinct.push_back(std::move(model));
    }
    return distinct;
}

std::optional<Spread> averaged_spread(const LoneRun& lone, const std::vector<double>& x_m,
                                      FixLoss loss) {
    const std::optional<SpreadFactor> chosen = spread_factor(lone, x_m, loss);
    if (!chosen) return std::nullopt;
    Spread out = multiplied_out(*chosen, columns_of(lone));
    const std::vector<Candidate> pool = rival_models(lone, loss);
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
    const std::optional<Spread> averaged = averaged_spread(lone, ends, loss);
    if (!own || !averaged) return {};
    return end_widening(*own, *averaged);
}

}  // namespace sondeline::alignment
