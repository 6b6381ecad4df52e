#include "alignment/chain.hpp"

#include <algorithm>
#include <cmath>

namespace sondeline::alignment {
namespace {

constexpr double link_m = 1.0;
constexpr double link_sd_rad = 8.0 * degree;  // per √metre
constexpr std::size_t most_straight_starts = 3;
constexpr double distinct_heading_rad = 4.0 * degree;
constexpr double least_kink_rad = 0.4 * degree;
constexpr double least_bend_rad = 4.0 * degree;
constexpr std::size_t most_chain_bends = 6;
constexpr double likely_reach_m = 0.6;  // a bend this near a likely place is that one

double bearing_rad(const Eigen::Vector2d& from, const Eigen::Vector2d& to) {
    const Eigen::Vector2d apart = to - from;
    return std::atan2(apart.x(), apart.y());
}

double turn_rad(double from_heading, double to_heading) {
    return std::remainder(to_heading - from_heading, 2.0 * std::numbers::pi);
}

// Where a fix puts the head, the offset of its receiver taken off.
Eigen::Vector2d true_place(const PositionDatum& datum, const State& guess) {
    if (!datum.shares_offset) return datum.at_m;
    return datum.at_m - guess.shared.segment<2>(5);
}

// Puts an unknown start where a straight run of this heading meets the first fix.
void back_to_start(const RunData& data, double heading_rad, State& state) {
    if (data.positions.empty()) return;
    const PositionDatum& first = data.positions.front();
    const Eigen::Vector2d u(std::sin(heading_rad), std::cos(heading_rad));
    state.shared.head<2>() = true_place(first, state) - first.x_m * data.plan_factor * u;
}

State straight(const RunData& data, const State& guess, const KnownEnds& known,
               double heading_rad) {
    State state;
    state.shared = guess.shared;
    if (!known.start) back_to_start(data, heading_rad, state);
    state.runs = {straight_run(data.x_end_m, 3.0, stiff_joint_sd_rad, heading_rad)};
    return state;
}

std::vector<double> first_headings(const RunData& data, const State& guess,
                                   const KnownEnds& known) {
    std::vector<double> headings;
    const Eigen::Vector2d from = guess.shared.head<2>();
    const Eigen::Vector2d to = guess.shared.segment<2>(2);
    if (data.start_heading) headings.push_back(data.start_heading->heading_rad);
    if (known.start && known.end) headings.push_back(bearing_rad(from, to));
    const std::size_t n = data.positions.size();
    for (std::size_t i = 0; i < n; ++i) {
        const Eigen::Vector2d at = true_place(data.positions[i], guess);
        if (known.start) headings.push_back(bearing_rad(from, at));
        if (!known.start && i > 0) {
            headings.push_back(bearing_rad(true_place(data.positions.front(), guess), at));
        }
        if (!known.start && known.end) headings.push_back(bearing_rad(at, to));
    }
    for (const HeadingDatum& seen : data.headings) {
        if (n > 2 && headings.size() > most_straight_starts) break;
        headings.push_back(seen.heading_rad);
        headings.push_back(seen.heading_rad + std::numbers::pi);
    }
    if (headings.empty()) headings.push_back(0.0);
    return headings;
}

// Corners of the polyline start – fixes – end, by station, near ones left out.
std::vector<std::pair<double, Eigen::Vector2d>> dots(const RunData& data, const State& guess,
                                                     const KnownEnds& known) {
    std::vector<std::pair<double, Eigen::Vector2d>> corners;
    if (known.start) corners.emplace_back(0.0, guess.shared.head<2>());
    for (const PositionDatum& datum : data.positions) {
        const double apart = std::max(0.4, 4.0 * datum.sd_m);
        if (!corners.empty() && datum.x_m - corners.back().first < apart) continue;
        corners.emplace_back(datum.x_m, true_place(datum, guess));
    }
    if (known.end && !corners.empty() && data.x_end_m - corners.back().first > 0.4) {
        corners.emplace_back(data.x_end_m, guess.shared.segment<2>(2));
    }
    return corners;
}

RunModel chain_model(const RunData& data, double heading_rad) {
    return straight_run(data.x_end_m, link_m, link_sd_rad, heading_rad);
}

// The chain laid along the dots; empty when there are fewer than three.
std::optional<State> along_dots(const RunData& data, const State& guess, const KnownEnds& known) {
    const auto corners = dots(data, guess, known);
    if (corners.size() < 3) return std::nullopt;
    double heading = bearing_rad(corners[0].second, corners[1].second);
    State state = straight(data, guess, known, heading);
    state.runs = {chain_model(data, heading)};
    std::size_t leg = 0;
    std::vector<double>& joints = state.runs[0].joints_rad;
    for (std::size_t j = 0; j < joints.size(); ++j) {
        const double x = static_cast<double>(j + 1) * link_m;
        while (leg + 2 < corners.size() && corners[leg + 1].first <= x) ++leg;
        const double next = bearing_rad(corners[leg].second, corners[leg + 1].second);
        joints[j] = turn_rad(heading, next);
        heading = next;
    }
    return state;
}

void fit_chain(const Problem& problem, State& state) {
    solve(problem, state, {.fixes = FixLoss::cauchy}, {.steps = 10, .least_gain = 1e-2});
    solve(problem, state, {.fixes = FixLoss::mixture}, {.steps = 8, .least_gain = 1e-2});
}

// Returns the cost at the end, by which chains are compared.
double gather_turns(const Problem& problem, State& state) {
    const auto gather = [&](FixLoss loss, double scale) {
        return solve(problem, state, {.fixes = loss, .sparse_joint_rad = scale},
                     {.steps = 8, .least_gain = 1e-2});
    };
    gather(FixLoss::cauchy, 4.0 * degree);
    gather(FixLoss::cauchy, 1.5 * degree);
    return gather(FixLoss::mixture, 0.5 * degree);
}

std::optional<LikelyBend> likely_near(const RunData& data, double x_m) {
    for (const LikelyBend& likely : data.likely_bends) {
        if (std::abs(likely.x_m - x_m) < likely_reach_m) return likely;
    }
    return std::nullopt;
}

std::vector<BendUnknown> merged_kinks(const RunData& data, const std::vector<double>& kinks) {
    std::vector<BendUnknown> bends;
    double moment = 0.0;
    double angle = 0.0;
    const auto close = [&] {
        if (std::abs(angle) > least_bend_rad) {
            const double x = clamped_bend_x_m(moment / angle, data.x_end_m);
            bends.push_back({.x_m = x, .angle_rad = angle, .likely = likely_near(data, x)});
        }
        moment = angle = 0.0;
    };
    for (std::size_t j = 0; j < kinks.size(); ++j) {
        if (std::abs(kinks[j]) < least_kink_rad || kinks[j] * angle < 0.0) close();
        if (std::abs(kinks[j]) < least_kink_rad) continue;
        moment += kinks[j] * static_cast<double>(j + 1) * link_m;
        angle += kinks[j];
    }
    close();
    std::stable_sort(bends.begin(), bends.end(), [](const BendUnknown& a, const BendUnknown& b) {
        return std::abs(a.angle_rad) > std::abs(b.angle_rad);
    });
    if (bends.size() > most_chain_bends) bends.resize(most_chain_bends);
    return bends;
}

RunModel as_bends(const RunData& data, const RunModel& chain) {
    RunModel model = straight_run(data.x_end_m, 3.0, stiff_joint_sd_rad, chain.heading0_rad);
    model.port_m = chain.port_m;
    model.own_scale = chain.own_scale;
    model.bends = merged_kinks(data, chain.joints_rad);
    return model;
}

RunModel as_curve(const RunData& data, const RunModel& chain) {
    RunModel model = straight_run(data.x_end_m, 3.0, flexible_joint_sd_rad, chain.heading0_rad);
    model.port_m = chain.port_m;
    model.own_scale = chain.own_scale;
    if (model.joints_rad.empty()) return model;
    for (std::size_t j = 0; j < chain.joints_rad.size(); ++j) {
        const double nearest = std::round(static_cast<double>(j + 1) * link_m / 3.0);
        const double last = static_cast<double>(model.joints_rad.size());
        model.joints_rad[static_cast<std::size_t>(std::clamp(nearest, 1.0, last)) - 1] +=
            chain.joints_rad[j];
    }
    return model;
}

}  // namespace

std::vector<State> straight_starts(const Problem& problem, const State& guess,
                                   const KnownEnds& known) {
    const RunData& data = *problem.runs[0];
    std::vector<std::pair<double, State>> tried;
    for (const double heading : first_headings(data, guess, known)) {
        State state = straight(data, guess, known, heading);
        const double cost = total_cost(problem, state, {.fixes = FixLoss::cauchy});
        tried.emplace_back(cost, std::move(state));
    }
    std::stable_sort(tried.begin(), tried.end(),
                     [](const auto& a, const auto& b) { return a.first < b.first; });
    std::vector<State> best;
    for (auto& [cost, state] : tried) {
        const double heading = state.runs[0].heading0_rad;
        const bool seen = std::any_of(best.begin(), best.end(), [&](const State& other) {
            return std::abs(turn_rad(other.runs[0].heading0_rad, heading)) < distinct_heading_rad;
        });
        if (!seen) best.push_back(std::move(state));
        if (best.size() == most_straight_starts) break;
    }
    return best;
}

std::vector<ChainStart> fitted_chains(const Problem& problem, const State& guess,
                                      const KnownEnds& known) {
    const RunData& data = *problem.runs[0];
    std::vector<State> starts = straight_starts(problem, guess, known);
    for (State& state : starts) {
        state.runs = {chain_model(data, state.runs[0].heading0_rad)};
    }
    std::vector<ChainStart> chains;
    const auto finish = [&](State& state) {
        const State curved{state.shared, {as_curve(data, state.runs[0])}};
        const double cost = gather_turns(problem, state);
        chains.push_back({{state.shared, {as_bends(data, state.runs[0])}}, curved, cost});
    };
    for (State& state : starts) {
        fit_chain(problem, state);
        finish(state);
    }
    // Laid along the fixes it turns where they do; evenly stiff joints would pull it straight
    // again.
    if (auto laid = along_dots(data, guess, known)) finish(*laid);
    std::stable_sort(chains.begin(), chains.end(),
                     [](const ChainStart& a, const ChainStart& b) { return a.cost < b.cost; });
    return chains;
}

}  // namespace sondeline::alignment
