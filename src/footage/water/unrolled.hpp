// The wall of the pipe unrolled: one row per direction about the vanishing point, one column per
// distance from it.
#pragma once

#include <cstdint>
#include <vector>

#include <opencv2/core.hpp>

namespace sondeline {

// Directions are counted from the picture's right-hand side clockwise, so that down is a quarter.
inline constexpr int unrolled_directions = 96;

struct Unrolled {
    cv::Mat1f level;            // natural logarithm of the light
    cv::Mat1b known;            // zero outside the picture and under overlay text
    std::vector<float> radius;  // of each column, pixels, rising
};

inline constexpr float unrolled_black = 16.0F;  // grey levels added before the logarithm

// Radii for `columns` columns from `inner` to `outer`, by even ratio or by even step of 1 / radius,
// which is by even step ahead in the pipe.
std::vector<float> radii_by_ratio(double inner, double outer, int columns);
std::vector<float> radii_by_depth(double inner, double outer, int columns);

// Where a direction and radius lies among four pixels of a picture; at its edge where it is beyond.
struct PlaceInPicture {
    std::int32_t first = 0;  // of the left upper one, counted row by row
    std::uint8_t right = 0;  // 32nds of a pixel from there
    std::uint8_t below = 0;
};

// The same for all pictures about one point.
struct PolarMap {
    cv::Size picture;
    std::vector<PlaceInPicture> places;  // direction by direction
    cv::Mat1b known;                     // see Unrolled
    std::vector<float> radius;
};

// `unseen` has the size of the pictures, two pixels each way at least, and is non-zero under
// overlay text.
PolarMap polar_map(const cv::Mat1b& unseen, cv::Point2d vanishing, std::vector<float> radius);

// `picture` lies in memory row after row without a gap. The same as cv::remap with INTER_LINEAR and
// BORDER_REPLICATE gives, and cv::log of it.
Unrolled unroll(const cv::Mat1b& picture, const PolarMap& map);

// Takes away what changes slowly round and along the pipe, the fall of light above all.
Unrolled detail_of(const Unrolled& wall);

inline int wrapped(int direction) {
    return ((direction % unrolled_directions) + unrolled_directions) % unrolled_directions;
}

}  // namespace sondeline
