// The wall of the pipe unrolled: one row per direction about the vanishing point, one column per
// distance from it.
#pragma once

#include <vector>

#include <opencv2/core.hpp>

namespace sondeline {

// Directions are counted from the picture's right-hand side clockwise, so that down is a quarter.
inline constexpr int unrolled_directions = 96;

struct Unrolled {
    cv::Mat1f level;            // natural logarithm of the light
    cv::Mat1b known;            // zero outside the picture and under overlay text
    std::vector<float> radius;  // of each column, pixels, rising
    float dark = 0.0F;          // grey level of the darkest part of the picture
};

inline constexpr float unrolled_black = 16.0F;  // grey levels added before the logarithm

// Radii for `columns` columns from `inner` to `outer`, by even ratio or by even step of 1 / radius,
// which is by even step ahead in the pipe.
std::vector<float> radii_by_ratio(double inner, double outer, int columns);
std::vector<float> radii_by_depth(double inner, double outer, int columns);

// Where each direction and radius lies in a picture; the same for all pictures about one point.
struct PolarMap {
    cv::Mat places;   // as cv::convertMaps makes them
    cv::Mat between;  // the same, of parts of pixels
    cv::Mat1b known;  // see Unrolled
    std::vector<float> radius;
};

// `unseen` has the size of the pictures, and is non-zero under overlay text.
PolarMap polar_map(const cv::Mat1b& unseen, cv::Point2d vanishing, std::vector<float> radius);

Unrolled unroll(const cv::Mat1b& picture, const PolarMap& map);

// Takes away what changes slowly round and along the pipe, the fall of light above all.
Unrolled detail_of(const Unrolled& wall);

inline int wrapped(int direction) {
    return ((direction % unrolled_directions) + unrolled_directions) % unrolled_directions;
}

}  // namespace sondeline
