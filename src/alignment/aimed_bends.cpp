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

}  // namespace

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
