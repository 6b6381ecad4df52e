#include "footage/water/unrolled.hpp"

#include <algorithm>
#include <cmath>

#include <opencv2/imgproc.hpp>

namespace sondeline {

std::vector<float> radii_by_ratio(double inner, double outer, int columns) {
    std::vector<float> radius;
    radius.reserve(static_cast<std::size_t>(columns));
    for (int i = 0; i < columns; ++i) {
        radius.push_back(static_cast<float>(inner * std::pow(outer / inner, i / (columns - 1.0))));
    }
    return radius;
}

std::vector<float> radii_by_depth(double inner, double outer, int columns) {
    std::vector<float> radius;
    radius.reserve(static_cast<std::size_t>(columns));
    for (int i = 0; i < columns; ++i) {
        const double share = i / (columns - 1.0);
        radius.push_back(static_cast<float>(1.0 / std::lerp(1.0 / inner, 1.0 / outer, share)));
    }
    return radius;
}

PolarMap polar_map(const cv::Mat1b& unseen, cv::Point2d vanishing, std::vector<float> radius) {
    const auto columns = static_cast<int>(radius.size());
    cv::Mat1f x(unrolled_directions, columns);
    cv::Mat1f y(unrolled_directions, columns);
    PolarMap map;
    map.known = cv::Mat1b(unrolled_directions, columns, uchar{255});
    for (int row = 0; row < unrolled_directions; ++row) {
        const double angle = 2.0 * CV_PI * row / unrolled_directions;
        const double across = std::cos(angle);
        const double down = std::sin(angle);
        for (int col = 0; col < columns; ++col) {
            const double r = radius[static_cast<std::size_t>(col)];
            x(row, col) = static_cast<float>(vanishing.x + r * across);
            y(row, col) = static_cast<float>(vanishing.y + r * down);
            const cv::Point at(cvRound(x(row, col)), cvRound(y(row, col)));
            const bool inside = at.x >= 0 && at.y >= 0 && at.x < unseen.cols && at.y < unseen.rows;
            if (!inside || unseen(at) != 0) map.known(row, col) = 0;
        }
    }
    cv::convertMaps(x, y, map.places, map.between, CV_16SC2);
    map.radius = std::move(radius);
    return map;
}

Unrolled unroll(const cv::Mat1b& picture, const PolarMap& map) {
    Unrolled out;
    out.known = map.known;
    out.radius = map.radius;
    double dark = 0.0;
    cv::minMaxLoc(picture, &dark);
    out.dark = static_cast<float>(dark);
    cv::Mat1b grey;
    cv::remap(picture, grey, map.places, map.between, cv::INTER_LINEAR, cv::BORDER_REPLICATE);
    grey.convertTo(out.level, CV_32F, 1.0, unrolled_black);
    cv::log(out.level, out.level);
    return out;
}

Unrolled detail_of(const Unrolled& wall) {
    // Wrapped round, so that the box does not end at the right-hand side.
    constexpr int kRound = 9;
    constexpr int kAlong = 9;
    Unrolled detail = wall;
    cv::Mat1f wide;
    cv::copyMakeBorder(wall.level, wide, kRound, kRound, 0, 0, cv::BORDER_WRAP);
    cv::Mat1f mean;
    cv::blur(wide, mean, {kAlong, kRound}, {-1, -1}, cv::BORDER_REFLECT);
    detail.level = wall.level - mean.rowRange(kRound, kRound + unrolled_directions);
    return detail;
}

}  // namespace sondeline
