// How the wall passes by the lens between two pictures, direction by direction.
#pragma once

#include <array>
#include <optional>

#include "footage/water/row_likeness.hpp"
#include "footage/water/unrolled.hpp"

namespace sondeline {

inline constexpr int flow_sectors = 24;

// In columns by even step of 1 / radius a wall moves by one shift along the whole row: the way
// moved over the distance of that wall from the lens. `alike` holds how alike the two pictures are,
// −1…1, when the later one is moved back by −most_flow_shift … most_flow_shift columns.
struct FlowSector {
    struct Part {
        double shift = 0.0;
        double alike = 0.0;  // 0: not told
    };

    std::array<double, 2 * most_flow_shift + 1> alike{};
    // What of the detail they share then: its covariance, which noise does not change on average.
    std::array<double, 2 * most_flow_shift + 1> shared{};
    double best_shift = 0.0;  // where they are most alike, towards the lens
    double best_alike = 0.0;
    // The same of the half of the columns that lies far ahead, and of the half that lies near.
    std::array<Part, 2> halves{};

    // At a shift between columns; 0 beyond the last.
    double shared_at(double shift) const;
};

struct WallFlow {
    std::array<FlowSector, flow_sectors> sectors;  // the first about direction 0, clockwise
    double common = 0.0;                           // usual shift; 0: the head stands
};

struct Passed {
    float shift = 0.0F;  // where the two are most alike, over the usual shift
    float alike = 0.0F;  // how alike they are there
};

// What is kept of it: a few figures a sector.
struct SectorPassing {
    float shift = 0.0F;  // as Passed
    float alike = 0.0F;
    std::array<Passed, 2> halves{};  // far ahead and near, see FlowSector::halves
    float passes = 0.0F;  // detail shared when the wall's own shift is undone, less that at rest
};

using WallPassing = std::array<SectorPassing, flow_sectors>;

inline double direction_of_sector(int sector) {
    return 2.0 * CV_PI * sector / flow_sectors;
}

// `before` and `after`: detail only, about one vanishing point, same columns.
WallFlow wall_flow(const Unrolled& before, const Unrolled& after);

// `flow.common` must not be 0.
WallPassing passing_of(const WallFlow& flow);

struct DistanceFit {
    float least_alike = 0.55F;
    double held_back = 1.0;  // towards a lens on the axis, as much as so many sectors
};

// 1 / shift is the distance of the wall from the lens: over direction it is a + b cos + c sin. By
// least squares over the sectors that are `used`; empty when they are too few or unlike each other.
std::optional<cv::Vec3d> fit_distance(const std::array<Passed, flow_sectors>& passed,
                                      const std::array<bool, flow_sectors>& used,
                                      const DistanceFit& how);
std::optional<cv::Vec3d> distance_of_wall(const WallPassing& passing,
                                          const std::array<bool, flow_sectors>& used);

// The distance so found in one direction, and in that of a sector.
double at_direction(const cv::Vec3d& distance, double direction_rad);
double at_sector(const cv::Vec3d& distance, int sector);

}  // namespace sondeline
