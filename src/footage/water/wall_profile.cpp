#include "footage/water/wall_profile.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

namespace sondeline {
namespace {

constexpr float kLeastLight = 12.0F;  // grey levels: below it noise would be divided up

float median_of(std::vector<float>& values) {
    if (values.empty()) return 0.0F;
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

// Light above the dark over the usual light at that distance; 0 far ahead, where no step is sought.
cv::Mat1f relative_light(const Unrolled& wall, const cv::Mat1f& light) {
    cv::Mat1f relative(light.size(), 0.0F);
    std::vector<float> seen;
    for (int col = 0; col < light.cols; ++col) {
        if (!NearWall::holds(wall, col)) continue;
        seen.clear();
        for (int row = 0; row < light.rows; ++row) {
            if (wall.known(row, col) != 0) seen.push_back(light(row, col));
        }
        const float usual = std::max(kLeastLight, median_of(seen));
        for (int row = 0; row < light.rows; ++row) relative(row, col) = light(row, col) / usual;
    }
    return relative;
}

float usual_of(const WallSteps& steps) {
    std::vector<float> sizes;
    for (const float step : steps.step) {
        if (step != 0.0F) sizes.push_back(std::abs(step));
    }
    return 1.4826F * median_of(sizes);
}

// Of every direction, the steps along the line that speaks most for a shore there.
void measure_steps(const NearWall& wall, WallProfile& out) {
    const WallSteps straight = wall.steps(turn_of(no_turn));
    out.steps = straight;
    out.usual_step = usual_of(straight);
    Round most{};
    for (int index = 0; index < shore_turns; ++index) {
        const WallSteps turned = index == no_turn ? straight : wall.steps(turn_of(index));
        const auto k = static_cast<std::size_t>(index);
        out.shores[k] = shore_evidence(turned, out.usual_step);
        for (std::size_t i = 0; i < unrolled_directions; ++i) {
            const float here = std::max(out.shores[k].begins[i], out.shores[k].ends[i]);
            if (index > 0 && here <= most[i]) continue;
            most[i] = here;
            out.steps.step[i] = turned.step[i];
            out.steps.steady[i] = turned.steady[i];
            out.steps.narrow[i] = turned.narrow[i];
            out.steps.log_step[i] = turned.log_step[i];
        }
    }
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

WallProfile profile_of(const Unrolled& wall, float dark) {
    cv::Mat1f light;
    cv::exp(wall.level, light);
    light -= unrolled_black + dark;
    const cv::Mat1f relative = relative_light(wall, light);
    WallProfile profile;
    measure_steps(NearWall(wall, relative), profile);
    for (int row = 0; row < unrolled_directions; ++row) measure_light(wall, light, row, profile);
    return profile;
}

}  // namespace sondeline
