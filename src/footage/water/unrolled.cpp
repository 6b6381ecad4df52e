#include "footage/water/unrolled.hpp"

#include <algorithm>
#include <cmath>

#include <opencv2/core.hpp>

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

namespace {

constexpr int kParts = 32;  // of a pixel, in which places are told

// Of a place on one axis: the pixel before it, the last but one at most, and parts on from there.
struct Along {
    int pixel = 0;
    int parts = 0;
};

Along along(float place, int pixels) {
    const int parts = std::clamp(cvRound(place * kParts), 0, (pixels - 1) * kParts);
    const int pixel = std::min(parts / kParts, pixels - 2);
    return {pixel, parts - pixel * kParts};
}

// Natural logarithm of each grey level, black added.
cv::Mat1f level_of_grey() {
    cv::Mat1f level(1, 256);
    for (int grey = 0; grey < level.cols; ++grey)
        level(grey) = static_cast<float>(grey) + unrolled_black;
    cv::log(level, level);
    return level;
}

}  // namespace

PolarMap polar_map(const cv::Mat1b& unseen, cv::Point2d vanishing, std::vector<float> radius) {
    const auto columns = static_cast<int>(radius.size());
    PolarMap map;
    map.picture = unseen.size();
    map.places.resize(unrolled_directions * radius.size());
    map.known = cv::Mat1b(unrolled_directions, columns, uchar{255});
    for (int row = 0; row < unrolled_directions; ++row) {
        const double angle = 2.0 * CV_PI * row / unrolled_directions;
        const double across = std::cos(angle);
        const double down = std::sin(angle);
        uchar* known = map.known.ptr<uchar>(row);
        PlaceInPicture* place = map.places.data() + static_cast<std::ptrdiff_t>(row) * columns;
        for (int col = 0; col < columns; ++col) {
            const double r = radius[static_cast<std::size_t>(col)];
            const auto x = static_cast<float>(vanishing.x + r * across);
            const auto y = static_cast<float>(vanishing.y + r * down);
            const cv::Point at(cvRound(x), cvRound(y));
            const bool inside = at.x >= 0 && at.y >= 0 && at.x < unseen.cols && at.y < unseen.rows;
            if (!inside || unseen(at) != 0) known[col] = 0;
            const Along right = along(x, unseen.cols);
            const Along below = along(y, unseen.rows);
            place[col] = {below.pixel * unseen.cols + right.pixel,
                          static_cast<std::uint8_t>(right.parts),
                          static_cast<std::uint8_t>(below.parts)};
        }
    }
    map.radius = std::move(radius);
    return map;
}

Unrolled unroll(const cv::Mat1b& picture, const PolarMap& map) {
    CV_Assert(picture.isContinuous() && picture.size() == map.picture);
    Unrolled out;
    out.known = map.known;
    out.radius = map.radius;
    out.level = cv::Mat1f(map.known.size());
    const cv::Mat1f of_grey = level_of_grey();
    const float* level_of = of_grey.ptr<float>();
    const uchar* pixels = picture.ptr<uchar>();
    auto* level = out.level.ptr<float>();
    for (const PlaceInPicture& place : map.places) {
        const uchar* upper = pixels + place.first;
        const uchar* lower = upper + picture.cols;
        const int left = kParts - place.right;
        const int sum = (kParts - place.below) * (left * upper[0] + place.right * upper[1]) +
                        place.below * (left * lower[0] + place.right * lower[1]);
        constexpr unsigned kAll = kParts * kParts;
        *level++ = level_of[(static_cast<unsigned>(sum) + kAll / 2) / kAll];
    }
    return out;
}

namespace {

// Directions and columns on either side that a mean is taken over.
constexpr std::size_t kBeside = 4;
constexpr double kShare = 1.0 / ((2 * kBeside + 1) * (2 * kBeside + 1));

// Sums over each place and those beside it, by doubling: of two, of four, of eight, and one more.
// `values`, and room for as many each.
void sum_beside(const std::vector<double>& values, std::vector<double>& twos,
                std::vector<double>& fours, std::vector<double>& sums) {
    const std::size_t count = values.size();
    for (std::size_t i = 0; i + 1 < count; ++i) twos[i] = values[i] + values[i + 1];
    for (std::size_t i = 0; i + 3 < count; ++i) fours[i] = twos[i] + twos[i + 2];
    for (std::size_t i = 0; i + 8 < count; ++i) sums[i] = fours[i] + fours[i + 4] + values[i + 8];
}

}  // namespace

// Sums of so few logarithms are exact in double precision, in whatever order they are added up: the
// mean is that of cv::blur, with what lies beyond either end of a row mirrored.
Unrolled detail_of(const Unrolled& wall) {
    const auto columns = static_cast<std::size_t>(wall.level.cols);
    Unrolled detail = wall;
    detail.level = cv::Mat1f(wall.level.size());
    std::vector<double> wide(columns + 2 * kBeside);
    std::vector<double> twos(wide.size());
    std::vector<double> fours(wide.size());
    std::vector<double> sums(wide.size());
    const auto row_at = [&](int row) { return wall.level.ptr<float>(wrapped(row)); };
    constexpr int kReach = kBeside;
    for (int row = -kReach - 1; row < kReach; ++row) {
        for (std::size_t i = 0; i < columns; ++i) wide[kBeside + i] += row_at(row)[i];
    }
    for (int row = 0; row < unrolled_directions; ++row) {
        const float* comes = row_at(row + kReach);
        const float* goes = row_at(row - kReach - 1);
        double* of_column = wide.data() + kBeside;
        for (std::size_t i = 0; i < columns; ++i)
            of_column[i] += static_cast<double>(comes[i]) - goes[i];
        for (std::size_t i = 0; i < kBeside; ++i) {
            wide[kBeside - 1 - i] = of_column[i];
            of_column[columns + i] = of_column[columns - 1 - i];
        }
        sum_beside(wide, twos, fours, sums);
        const float* from = row_at(row);
        auto* to = detail.level.ptr<float>(row);
        for (std::size_t i = 0; i < columns; ++i)
            to[i] = from[i] - static_cast<float>(sums[i] * kShare);
    }
    return detail;
}

}  // namespace sondeline
