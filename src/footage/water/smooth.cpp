#include "footage/water/smooth.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <vector>

namespace sondeline {
namespace {

// Weights of the middle place and of those to either side of it, in 256ths, all of which add up to
// one. What rounding a weight leaves is handed on to the next one in, from the outermost on, as
// OpenCV has it.
std::vector<int> weights_of(double sigma) {
    constexpr int kOne = 256;
    const int reach = (cvRound(sigma * 3.0 * 2.0 + 1.0) | 1) / 2;
    std::vector<double> exact;
    double sum = 0.0;
    for (int away = 0; away <= reach; ++away) {
        exact.push_back(std::exp(-0.5 * away * away / (sigma * sigma)));
        sum += (away == 0 ? 1.0 : 2.0) * exact.back();
    }
    std::vector<int> weights(exact.size());
    double left = 0.0;
    int given = 0;
    for (int away = reach; away > 0; --away) {
        const auto i = static_cast<std::size_t>(away);
        const double wanted = kOne * exact[i] / sum + left;
        weights[i] = cvRound(wanted);
        left = wanted - weights[i];
        given += 2 * weights[i];
    }
    weights[0] = kOne - given;
    return weights;
}

// Beyond an edge the picture is mirrored about its outermost place.
int mirrored(int at, int count) {
    if (at < 0) return -at;
    return at < count ? at : 2 * (count - 1) - at;
}

// Weighted sums down the picture about one row: no more than 255 · 256.
void add_rows(const cv::Mat1b& picture, int row, const std::vector<int>& weights,
              std::vector<std::uint16_t>& sums) {
    const uchar* here = picture.ptr<uchar>(row);
    for (std::size_t i = 0; i < sums.size(); ++i)
        sums[i] = static_cast<std::uint16_t>(weights[0] * here[i]);
    for (int away = 1; away < static_cast<int>(weights.size()); ++away) {
        const uchar* above = picture.ptr<uchar>(mirrored(row - away, picture.rows));
        const uchar* below = picture.ptr<uchar>(mirrored(row + away, picture.rows));
        const auto weight = static_cast<std::uint16_t>(weights[static_cast<std::size_t>(away)]);
        for (std::size_t i = 0; i < sums.size(); ++i) {
            const auto both = static_cast<std::uint16_t>(above[i] + below[i]);
            sums[i] = static_cast<std::uint16_t>(sums[i] + weight * both);
        }
    }
}

}  // namespace

// No sum is rounded before the last: those down the picture have sixteen bits, and those across of
// them twenty-four, which single precision holds exactly.
cv::Mat1b smooth_for_pipe_view(const cv::Mat1b& picture) {
    const std::vector<int> weights = weights_of(picture.rows / 60.0);
    const std::size_t reach = weights.size() - 1;
    const auto columns = static_cast<std::size_t>(picture.cols);
    std::vector<std::uint16_t> down(columns);
    std::vector<float> wide(columns + 2 * reach);
    std::vector<float> across(columns);
    cv::Mat1b smooth(picture.size());
    for (int row = 0; row < picture.rows; ++row) {
        add_rows(picture, row, weights, down);
        std::ranges::copy(down, wide.begin() + static_cast<std::ptrdiff_t>(reach));
        for (std::size_t i = 1; i <= reach; ++i) {
            wide[reach - i] = down[i];
            wide[reach + columns - 1 + i] = down[columns - 1 - i];
        }
        const float* middle = wide.data() + reach;
        for (std::size_t i = 0; i < columns; ++i)
            across[i] = static_cast<float>(weights[0]) * middle[i];
        for (std::size_t away = 1; away <= reach; ++away) {
            const auto weight = static_cast<float>(weights[away]);
            const float* before = middle - away;
            const float* after = middle + away;
            for (std::size_t i = 0; i < columns; ++i) across[i] += weight * (before[i] + after[i]);
        }
        uchar* to = smooth.ptr<uchar>(row);
        constexpr int kAll = 256 * 256;
        for (std::size_t i = 0; i < columns; ++i)
            to[i] = static_cast<uchar>((static_cast<int>(across[i]) + kAll / 2) / kAll);
    }
    return smooth;
}

}  // namespace sondeline
