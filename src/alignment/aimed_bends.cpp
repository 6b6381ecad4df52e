#include "alignment/aimed_bends.hpp"

#include <cmath>

namespace sondeline::alignment {
namespace {

constexpr std::size_t most_aimed = 3;
constexpr double least_lever_m = 0.1;  // between a bend and the fix it aims at

double bearing_rad(const Eigen::Vector2d& way) {
    return std::atan2(way.x(), way.y());
}

// Adds a bend halfway between the fix and what comes before it, aimed at the fix; false where there
// is no room.
bool aim_at(const Problem& problem, std::size_t fix, State& state) {
    const RunData& data = *problem.runs[0];
    const double x = data.positions[fix].x_m;
    const double before = fix == 0 ? 0.0 : data.positions[fix - 1].x_m;
    const double bend = clamped_bend_x_m(0.5 * (before + x), data.x_end_m);
    if (!(x - bend > least_lever_m)) return false;
    RunModel& model = state.runs[0];
    const RunLine line(model, place_of(problem, state, 0));
    const Eigen::Vector2d from = line.at(bend);
    const double now = bearing_rad(line.at(x) - from);
    Eigen::Vector2d seen = data.positions[fix].at_m;
    if (data.positions[fix].shares_offset) seen -= line.receiver_offset_m();
    const double wanted = bearing_rad(seen - from);
    model.bends.push_back(
        {.x_m = bend, .angle_rad = std::remainder(wanted - now, 2.0 * std::numbers::pi)});
    return true;
}

// An end of the run, the fix next to it, and the structure that the end belongs to.
struct Reach {
    double end_x_m = 0.0;
    double fix_x_m = 0.0;
    double port_sd_m = 0.0;
    Eigen::Vector2d structure_m = Eigen::Vector2d::Zero();
};

// Where the line must bend to meet the structure: as far from it along the line as from the
// structure itself, which with d from the structure to the end and u on towards the end is
// |d|²/(2·u·d) short of the end. The turn is that of what lies between bend and end.
struct Swing {
    double x_m = 0.0;
    double turn_rad = 0.0;
};
std::optional<Swing> meeting(const RunLine& line, const Reach& reach) {
    const Eigen::Vector2d end = line.at(reach.end_x_m);
    const Eigen::Vector2d off = end - reach.structure_m;
    const Eigen::Vector2d way = end - line.at(reach.fix_x_m);
    const double gap_m = way.norm();
    if (!(off.norm() > reach.port_sd_m) || !(way.dot(off) > 0.0)) return std::nullopt;
    const double back_m = 0.5 * off.squaredNorm() * gap_m / way.dot(off);
    if (!(back_m < gap_m - least_lever_m)) return std::nullopt;
    const double x_m = reach.end_x_m + back_m / gap_m * (reach.fix_x_m - reach.end_x_m);
    const Eigen::Vector2d about = line.at(x_m);
    const double turn = bearing_rad(reach.structure_m - about) - bearing_rad(end - about);
    return Swing{x_m, std::remainder(turn, 2.0 * std::numbers::pi)};
}

State swung_at_start(const State& state, const Swing& swing, const Eigen::Vector2d& structure_m,
                     double x_end_m) {
    State out = state;
    RunModel& model = out.runs[0];
    model.bends.push_back(
        {.x_m = clamped_bend_x_m(swing.x_m, x_end_m), .angle_rad = -swing.turn_rad});
    model.heading0_rad += swing.turn_rad;
    model.port_m.setZero();
    out.shared.head<2>() = structure_m;
    return out;
}

State swung_at_end(const State& state, const Swing& swing, double x_end_m) {
    State out = state;
    out.runs[0].bends.push_back(
        {.x_m = clamped_bend_x_m(swing.x_m, x_end_m), .angle_rad = swing.turn_rad});
    return out;
}

}  // namespace

std::vector<State> aimed_at_structures(const Problem& problem, const State& state,
                                       std::size_t most_bends) {
    const RunData& data = *problem.runs[0];
    std::vector<State> out;
    if (state.runs[0].bends.size() >= most_bends || data.positions.empty()) return out;
    const RunLine line(state.runs[0], place_of(problem, state, 0));
    const Eigen::Vector2d from_m = problem.shared.mean.head<2>();
    const Reach start{0.0, data.positions.front().x_m, data.port_sd_from_m, from_m};
    if (const auto swing = meeting(line, start); swing && swing->x_m > 0.0) {
        out.push_back(swung_at_start(state, *swing, from_m, data.x_end_m));
    }
    if (!data.to_node) return out;
    const Reach end{data.x_end_m, data.positions.back().x_m, data.port_sd_to_m,
                    problem.shared.mean.segment<2>(2)};
    if (const auto swing = meeting(line, end); swing && swing->x_m < data.x_end_m) {
        out.push_back(swung_at_end(state, *swing, data.x_end_m));
    }
    return out;
}

std::vector<State> aimed_at_rejected(const Problem& problem, const State& state,
                                     std::size_t most_bends) {
    const RunData& data = *problem.runs[0];
    const RunLine line(state.runs[0], place_of(problem, state, 0));
    std::vector<State> out;
    for (std::size_t i = 0; i < data.positions.size(); ++i) {
        if (!(state_of(data.positions[i], line).outlier_probability > 0.5)) continue;
        State aimed = state;
        for (std::size_t k = 0; k < most_aimed && i + k < data.positions.size(); ++k) {
            if (aimed.runs[0].bends.size() == most_bends) break;
            if (!aim_at(problem, i + k, aimed)) break;
            out.push_back(aimed);
        }
    }
    return out;
}

}  // namespace sondeline::alignment
