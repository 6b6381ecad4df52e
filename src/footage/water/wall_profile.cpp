#include "footage/water/wall_profile.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

namespace sondeline {
namespace {

constexpr int kBeside = 3;            // directions averaged on either side of an edge
constexpr float kMostStep = 1.0F;     // a single place counts no more than this
constexpr float kSeen = 0.04F;        // a step that counts for steadiness
constexpr float kLeastLight = 12.0F;  // grey levels: below it noise would be divided up
constexpr float kNear = 0.5F;         // of the outermost radius
constexpr int kFewest = 4;

struct Sides {
    float ahead = 0.0F;
    float behind = 0.0F;
};

// Means of `of` over the directions to either side; empty where they are not all seen.
std::optional<Sides> sides_of(const cv::Mat1f& of, const cv::Mat1b& known, cv::Point at,
                              int reach) {
    Sides sides;
    for (int k = 1; k <= reach; ++k) {
        const int ahead = wrapped(at.y + k);
        const int behind = wrapped(at.y - k);
        if (known(ahead, at.x) == 0 || known(behind, at.x) == 0) return std::nullopt;
        sides.ahead += of(ahead, at.x) / static_cast<float>(reach);
        sides.behind += of(behind, at.x) / static_cast<float>(reach);
    }
    return sides;
}

float median_of(std::vector<float>& values) {
    if (values.empty()) return 0.0F;
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

// Light above the dark over the usual light at that distance.
cv::Mat1f relative_light(const Unrolled& wall, const cv::Mat1f& light) {
    cv::Mat1f relative(light.size(), 0.0F);
    std::vector<float> seen;
    for (int col = 0; col < light.cols; ++col) {
        seen.clear();
        for (int row = 0; row < light.rows; ++row) {
            if (wall.known(row, col) != 0) seen.push_back(light(row, col));
        }
        const float usual = std::max(kLeastLight, median_of(seen));
        for (int row = 0; row < light.rows; ++row) relative(row, col) = light(row, col) / usual;
    }
    return relative;
}

void measure_steps(const Unrolled& wall, const cv::Mat1f& relative, int row, WallProfile& out) {
    float step = 0.0F;
    float log_step = 0.0F;
    float narrow = 0.0F;
    int up = 0;
    int down = 0;
    int count = 0;
    for (int col = 0; col < relative.cols; ++col) {
        if (wall.radius[static_cast<std::size_t>(col)] < kNear * wall.radius.back()) continue;
        const auto wide = sides_of(relative, wall.known, {col, row}, kBeside);
        if (!wide) continue;
        const auto beside = *sides_of(relative, wall.known, {col, row}, 1);
        const auto logs = *sides_of(wall.level, wall.known, {col, row}, kBeside);
        const float change = wide->ahead - wide->behind;
        step += std::clamp(change, -kMostStep, kMostStep);
        narrow += std::clamp(beside.ahead - beside.behind, -kMostStep, kMostStep);
        log_step += logs.ahead - logs.behind;
        up += change > kSeen ? 1 : 0;
        down += change < -kSeen ? 1 : 0;
        ++count;
    }
    if (count < kFewest) return;
    const auto at = static_cast<std::size_t>(row);
    const auto n = static_cast<float>(count);
    out.step[at] = step / n;
    out.narrow[at] = narrow / n;
    out.log_step[at] = log_step / n;
    out.steady[at] = static_cast<float>(step > 0.0F ? up : down) / n;
}

void measure_light(const Unrolled& wall, const cv::Mat1f& light, int row, WallProfile& out) {
    const auto at = static_cast<std::size_t>(row);
    float square = 0.0F;
    int count = 0;
    for (int col = 0; col < light.cols; ++col) {
        if (wall.known(row, col) == 0) continue;
        const float share = wall.radius[static_cast<std::size_t>(col)] / wall.radius.back();
        if (share >= 0.55F && share <= 0.9F) {
            out.near_light[at] += light(row, col);
            ++out.near_places[at];
        } else if (share >= 0.22F && share <= 0.36F) {
            out.far_light[at] += light(row, col);
            ++out.far_places[at];
        }
        if (wall.known(wrapped(row + 1), col) == 0) continue;
        const float next = wall.level(wrapped(row + 1), col) - wall.level(row, col);
        square += next * next;
        ++count;
    }
    if (3 * count >= light.cols) out.bustle[at] = square / static_cast<float>(count);
}

}  // namespace

WallProfile profile_of(const Unrolled& wall) {
    cv::Mat1f light;
    cv::exp(wall.level, light);
    light -= unrolled_black + wall.dark;
    const cv::Mat1f relative = relative_light(wall, light);
    WallProfile profile;
    std::vector<float> sizes;
    for (int row = 0; row < unrolled_directions; ++row) {
        measure_steps(wall, relative, row, profile);
        measure_light(wall, light, row, profile);
        const float step = profile.step[static_cast<std::size_t>(row)];
        if (step != 0.0F) sizes.push_back(std::abs(step));
    }
    profile.usual_step = 1.4826F * median_of(sizes);
    return profile;
}

}  // namespace sondeline
