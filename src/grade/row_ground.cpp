#include "grade/row_ground.hpp"

#include <algorithm>
#include <cmath>

namespace sondeline::grade {

namespace {

constexpr double kSamePoint_m = 0.05;

}  // namespace

std::optional<int> structure_of(const Row& row, const SiteRun& run) {
    if (row.kind == VerticalKind::taped_start) return run.from;
    return row.kind == VerticalKind::taped_end ? run.to : std::nullopt;
}

std::optional<std::ptrdiff_t> ground_point_of(const Row& row, const GroundLine& line) {
    for (std::size_t k = 0; k < line.known.size(); ++k) {
        if (std::abs(line.known[k].station_m - row.station_m) < kSamePoint_m &&
            line.known[k].elevation_m.value == row.ground_m->value) {
            return static_cast<std::ptrdiff_t>(k);
        }
    }
    return std::nullopt;
}

void interpolate_ground(RunRows& run) {
    for (Row& row : run.rows) {
        if (!row.ground_interpolated) continue;
        row.y_m = ground_at(run.ground, row.station_m)->value - row.below_ground_m;
    }
}

void set_ground(int structure, const Estimate& ground_m, const SiteRun& site, RunRows& run) {
    bool moved = false;
    for (Row& row : run.rows) {
        if (!row.ground_m || structure_of(row, site) != structure) continue;
        if (const auto point = ground_point_of(row, run.ground)) {
            run.ground.known[static_cast<std::size_t>(*point)].elevation_m = ground_m;
        }
        const double own_m2 = row.sd_m * row.sd_m - row.ground_m->sd * row.ground_m->sd;
        row.sd_m = std::sqrt(std::max(0.0, own_m2) + ground_m.sd * ground_m.sd);
        row.y_m += ground_m.value - row.ground_m->value;
        row.ground_m = ground_m;
        moved = true;
    }
    if (moved) interpolate_ground(run);
}

}  // namespace sondeline::grade
