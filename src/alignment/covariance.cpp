#include "alignment/covariance.hpp"

#include <algorithm>
#include <cmath>

#include <Eigen/Cholesky>
#include <Eigen/LU>

#include "alignment/blind_ends.hpp"

namespace sondeline::alignment {
namespace {

constexpr double alike_score = 0.02;
constexpr double least_weight = 2e-3;
constexpr std::size_t kept_per_gap = 3;

// Both components at each station, all columns.
Eigen::MatrixXd point_derivatives(const RunLine& line, const std::vector<double>& x_m) {
    const auto rows = static_cast<Eigen::Index>(2 * x_m.size());
    Eigen::MatrixXd transposed(line.columns().all(), rows);
    for (std::size_t i = 0; i < x_m.size(); ++i) {
        const auto at = static_cast<Eigen::Index>(2 * i);
        line.derivative(x_m[i], transposed.col(at), transposed.col(at + 1));
    }
    return transposed.transpose();
}

// d(length)/d(unknowns) at x: length L by both scales, −scale by each slip.
Eigen::VectorXd length_derivative(const RunModel& model, double reel_scale, double x_m) {
    const Columns columns = columns_of(model);
    Eigen::VectorXd d = Eigen::VectorXd::Zero(columns.all());
    d(Columns::own_scale) = d(columns.reel_scale()) = pipe_length_m(model, reel_scale, x_m);
    for (int k = 0; k < columns.bends; ++k) {
        d(columns.bend_slip(k)) = -std::exp(reel_scale + model.own_scale);
    }
    return d;
}

double scale_variance(const Columns& columns, const Eigen::MatrixXd& covariance) {
    const int a = Columns::own_scale;
    const int b = columns.reel_scale();
    return covariance(a, a) + 2.0 * covariance(a, b) + covariance(b, b);
}

Eigen::VectorXd points_of(const RunLine& line, const std::vector<double>& x_m) {
    Eigen::VectorXd points(2 * static_cast<Eigen::Index>(x_m.size()));
    for (std::size_t i = 0; i < x_m.size(); ++i) {
        points.segment<2>(2 * static_cast<Eigen::Index>(i)) = line.at(x_m[i]);
    }
    return points;
}

void add_rivals_in_gap(const Problem& problem, const State& chosen, double x_m, FixLoss loss,
                       std::vector<Candidate>& pool) {
    std::vector<std::pair<double, State>> tried;
    for (const double angle : {-0.9, -0.05, 0.05, 0.9}) {
        for (const bool front : {false, true}) {
            State state = with_bend(chosen, {x_m, angle, front}, problem.runs[0]->x_end_m);
            const double cost =
                solve(problem, state, {.fixes = loss}, {.steps = 4, .least_gain = 1e-2});
            tried.emplace_back(cost, std::move(state));
        }
    }
    std::stable_sort(tried.begin(), tried.end(),
                     [](const auto& a, const auto& b) { return a.first < b.first; });
    for (std::size_t i = 0; i < std::min(kept_per_gap, tried.size()); ++i) {
        pool.push_back(converged(problem, std::move(tried[i].second), loss));
    }
}

bool alike(const Candidate& a, const Candidate& b) {
    return a.state.runs[0].bends.size() == b.state.runs[0].bends.size() &&
           std::abs(a.score - b.score) < alike_score;
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

LoneRun with_state(const LoneRun& lone, const State& state) {
    return {lone.problem, state};
}

// Weights that add up to 1; nil for a model whose score is not finite.
std::vector<double> weights_of(const std::vector<Candidate>& pool) {
    double least = pool.front().score;
    for (const Candidate& model : pool) least = std::min(least, model.score);
    std::vector<double> weights;
    double sum = 0.0;
    for (const Candidate& model : pool) {
        const double weight =
            std::isfinite(model.score) ? std::exp(-0.5 * (model.score - least)) : 0.0;
        weights.push_back(weight);
        sum += weight;
    }
    for (double& weight : weights) weight /= sum;
    return weights;
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
    normal.bottomRightCorner<Columns::shared, Columns::shared>() += at.shared_normal;
    const Eigen::LLT<Eigen::MatrixXd> factor(normal);
    if (factor.info() != Eigen::Success) return std::nullopt;
    return factor.solve(Eigen::MatrixXd::Identity(normal.rows(), normal.cols()));
}

std::optional<Spread> own_spread(const LoneRun& lone, const std::vector<double>& x_m,
                                 FixLoss loss) {
    const std::optional<Eigen::MatrixXd> covariance = unknowns_covariance(lone, loss);
    if (!covariance) return std::nullopt;
    const RunModel& model = lone.state.runs[0];
    const RunPlace place = place_of(lone.problem, lone.state, 0);
    const RunLine line(model, place);
    const Columns& columns = line.columns();
    const Eigen::MatrixXd j = point_derivatives(line, x_m);
    const Eigen::VectorXd length =
        length_derivative(model, place.reel_scale, lone.problem.runs[0]->x_end_m);
    Spread out;
    out.points.noalias() = j * (*covariance * j.transpose()).eval();
    out.length_variance = length.dot(*covariance * length);
    out.scale_variance = scale_variance(columns, *covariance);
    out.bend_x_variance.resize(columns.bends);
    out.bend_angle_variance.resize(columns.bends);
    for (int k = 0; k < columns.bends; ++k) {
        out.bend_x_variance(k) = (*covariance)(columns.bend_x(k), columns.bend_x(k));
        out.bend_angle_variance(k) = (*covariance)(columns.bend_angle(k), columns.bend_angle(k));
    }
    return out;
}

std::vector<Candidate> rival_models(const LoneRun& lone, FixLoss loss) {
    const Problem& problem = lone.problem;
    const RunModel& chosen = lone.state.runs[0];
    std::vector<Candidate> pool;
    pool.push_back({lone.state, score_of(problem, lone.state, {.fixes = loss})});
    for (std::size_t k = 0; k < chosen.bends.size(); ++k) {
        pool.push_back(converged(problem, without_bend(lone.state, k), loss));
    }
    if (chosen.bends.size() < most_bends && has_room_for_bends(problem.runs[0]->x_end_m)) {
        const ObservedStretch seen = observed_stretch(lone, loss);
        for (const double x : gap_middles_m(*problem.runs[0])) {
            const bool blind = x < seen.first_x_m || x > seen.last_x_m;
            if (!blind) add_rivals_in_gap(problem, lone.state, x, loss, pool);
        }
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
    std::optional<Spread> own = own_spread(lone, x_m, loss);
    if (!own) return own;
    const std::vector<Candidate> pool = rival_models(lone, loss);
    const std::vector<double> weights = weights_of(pool);
    const auto scale_of = [](const State& state) { return state.shared(4); };
    const double x_end = lone.problem.runs[0]->x_end_m;
    const RunLine chosen(lone.state.runs[0], place_of(lone.problem, lone.state, 0));
    const Eigen::VectorXd points = points_of(chosen, x_m);
    const double length = pipe_length_m(lone.state.runs[0], scale_of(lone.state), x_end);
    Eigen::MatrixXd sum = Eigen::MatrixXd::Zero(points.size(), points.size());
    double length_sum = 0.0;
    double weight_sum = 0.0;
    for (std::size_t i = 0; i < pool.size(); ++i) {
        if (weights[i] < least_weight) continue;
        const LoneRun rival = with_state(lone, pool[i].state);
        const std::optional<Spread> spread = i == 0 ? own : own_spread(rival, x_m, loss);
        if (!spread) continue;
        const RunLine line(rival.state.runs[0], place_of(rival.problem, rival.state, 0));
        const Eigen::VectorXd off = points_of(line, x_m) - points;
        const double longer =
            pipe_length_m(rival.state.runs[0], scale_of(rival.state), x_end) - length;
        sum += weights[i] * (spread->points + off * off.transpose());
        length_sum += weights[i] * (spread->length_variance + longer * longer);
        weight_sum += weights[i];
    }
    if (weight_sum > 0.0) {
        own->points = sum / weight_sum;
        own->length_variance = length_sum / weight_sum;
    }
    add_blind_ends(lone, x_m, loss, *own);
    return own;
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
