// How the light steps from one direction about the vanishing point to the next, along lines that
// may turn on their way to it.
#pragma once

#include <array>
#include <vector>

#include "footage/water/unrolled.hpp"

namespace sondeline {

using Round = std::array<float, unrolled_directions>;

// Of the outer half of the radii, where water is met first.
struct WallSteps {
    // Change of light across a direction, over the usual light at that distance: positive where it
    // rises clockwise. Light that is added (glare) does not change it.
    Round step{};
    Round steady{};    // share of distances at which it changes that way
    Round narrow{};    // the same change within the nearest directions only
    Round log_step{};  // the same change in the natural logarithm of light
};

// The wall near the lens, made ready to be followed along turned lines. A step is that of the line
// where it crosses the radius at which shores are measured.
class NearWall {
  public:
    // `relative`: light over the usual light at that distance, same size as `wall.level`; used in
    // the columns that are held only.
    NearWall(const Unrolled& wall, const cv::Mat1f& relative);

    // Whether a column is near enough for its light to be used.
    static bool holds(const Unrolled& wall, int col);

    // `turn`: directions that a line goes on clockwise each time that 1 / radius grows by that of
    // the measured radius, no more than 8 either way. Rows of which too little is seen are zero.
    WallSteps steps(float turn) const;

  private:
    static constexpr int kRound = 4;  // directions on either side, so that no row has to be wrapped
    using Wide = std::array<float, unrolled_directions + 2 * kRound>;

    // Changes across each direction at one distance; nought, as `known` is, where it is not seen.
    struct Column {
        double share = 0.0;  // radius of the middle over its own
        Wide change{}, narrow{}, log_change{}, known{};
    };

    std::vector<Column> columns_;
};

}  // namespace sondeline
