// How far the lens lies off the pipe's axis, from how fast the wall passes it where.
#pragma once

#include <array>
#include <optional>
#include <span>

#include <opencv2/core.hpp>

#include "sondeline/footage.hpp"

#include "footage/water/wall_flow.hpp"

namespace sondeline {

struct WaterLook;

struct LensLean {
    cv::Point2d lean;  // as PipeView::lean
    // From where the wall truly comes from to the vanishing point that it was unrolled about, over
    // the picture's height.
    cv::Point2d off;
};

// 1 / radius before and after the passing, added up, in heights of the picture: means of the half
// of the columns that lies far ahead, and of the half that lies near.
struct HalvesAt {
    double far = 0.0;
    double near = 0.0;
};

// By the sectors that are `used`; those that fit no circle are left out. Empty when too few are
// left in either half.
std::optional<LensLean> lens_lean(const WallPassing& passing,
                                  const std::array<bool, flow_sectors>& used, const HalvesAt& at);

// What all looks of a clip say of the lens.
struct LensPlace {
    Estimate height;        // above the invert over the inside diameter
    double off_down = 0.0;  // median of LensLean::off, straight down

    // Whether the clip itself told the height: else it is what is usual of heads, no measurement.
    bool told() const { return height.sd < unknown_sd; }

    static constexpr double unknown_sd = 0.09;  // of what is usual, hardly anything was seen
};

// Medians over all looks that show which way is down. What they tell of the height is weighed with
// what is usual of heads, so that few or unlike looks give about 0.45 ± 0.12.
LensPlace place_of_lens(std::span<const WaterLook> looks);

// Straight down in the picture at a moment, from the look nearest in time that shows water.
std::optional<double> down_at(std::span<const WaterLook> looks, double time_s);

}  // namespace sondeline
