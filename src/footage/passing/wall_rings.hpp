// Dark rings round the wall of a pipe, as its joints show them.
#pragma once

#include <optional>
#include <vector>

#include "footage/water/unrolled.hpp"

namespace sondeline {

struct WallRing {
    double time_s = 0.0;
    // How far ahead of the lens, in picture heights over the radius at which a wall as far from
    // the lens as the usual one is seen there.
    double depth = 0.0;
    // How much darker than the wall before and behind, natural logarithm, all but all round.
    float dark = 0.0F;
};

// `detail` by even step of 1 / radius, see detail_of. `distance` of the wall over its usual one by
// direction, as distance_of_wall gives it. `height_px` of the picture.
std::vector<WallRing> rings_in(const Unrolled& detail, const cv::Vec3d& distance, double height_px,
                               double time_s);

}  // namespace sondeline
