// The inside of the pipe unrolled: one row per step along it, one column per step round it.
#pragma once

#include <array>

#include <opencv2/core.hpp>

#include "support/scenario.hpp"

namespace sondeline::support {

struct WallTexture {
    static constexpr double row_m = 0.003;
    static constexpr int columns = 512;  // once round, clockwise from the right-hand side
    static constexpr double ahead_m = 3.0;

    double first_m = 0.0;  // station of the first row
    // Blurred along the pipe over 1, 3, 9 and 27 rows, as a moving head sees it.
    std::array<cv::Mat1b, 4> smeared;

    // Row of a station, for remapping.
    float row_of(double station_m) const {
        return static_cast<float>((station_m - first_m) / row_m);
    }
    const cv::Mat1b& at_smear(double smear_m) const;
};

// Paints wall, joints, stains, scratches, roots over the length that the story visits and what is
// seen ahead of it.
WallTexture paint_wall(const PipeScene& pipe, std::uint64_t seed, double from_m, double to_m);

}  // namespace sondeline::support
