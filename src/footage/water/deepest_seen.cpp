#include "footage/water/deepest_seen.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "terms/quantile.hpp"

namespace sondeline {

bool rises_to_end(const WaterRun& run, double sign) {
    constexpr double kDeepEnough = 0.08;  // share
    const std::size_t count = run.looks.size();
    if (count < 3) return false;
    const double last = run.looks[sign > 0.0 ? count - 1 : 0].share;
    const double before = run.looks[sign > 0.0 ? count - 2 : 1].share;
    if (last < kDeepEnough || last < before) return false;
    std::size_t deeper = 0;
    for (const PlacedLook& look : run.looks) deeper += look.share > before ? 1 : 0;
    return deeper <= 1;
}

bool deepest_is_faint(const WaterRun& run, double deepest_m) {
    constexpr double kAbout_m = 0.15;
    constexpr double kFaint = 1.0;  // see ShorePair::weight; the mean
    double sum = 0.0;
    int count = 0;
    for (const PlacedLook& look : run.looks) {
        if (std::abs(look.x_m - deepest_m) >= kAbout_m) continue;
        sum += look.look.shores->weight;
        ++count;
    }
    return sum < kFaint * count;
}

bool deepest_is_mirrored(const WaterRun& run, double deepest_m) {
    constexpr double kAbout_m = 0.2;
    constexpr double kFlat_rad = 70.0 * CV_PI / 180.0;
    constexpr double kMirrors = 0.45;  // see Shores::far_over_near; the median
    constexpr double kFaint = 2.0;     // see ShorePair::weight; the median
    std::vector<double> far;
    std::vector<double> weights;
    double widest_rad = 0.0;
    for (const PlacedLook& look : run.looks) {
        if (std::abs(look.x_m - deepest_m) > kAbout_m) continue;
        const Shores& shores = *look.look.shores;
        if (shores.far_over_near) far.push_back(*shores.far_over_near);
        weights.push_back(shores.weight);
        widest_rad = std::max(widest_rad, shores.half_rad);
    }
    if (far.empty() || widest_rad < kFlat_rad) return false;
    return quantile(far, 0.5) < kMirrors && quantile(weights, 0.5) < kFaint;
}

}  // namespace sondeline
