#include "pipeline/taped_ends.hpp"

#include <algorithm>
#include <cmath>

#include "grade/pipe_size.hpp"

namespace sondeline {

namespace {

constexpr double near_end_m = 15.0;
constexpr std::size_t fewest_depths = 4;
constexpr std::size_t most_depths = 8;
// Depths that scatter more than they should about an even grade do not lie on one.
constexpr double scatters_above = 2.5;  // χ² over its freedom
// What holds for one end alone: the pipe leaves the even grade of its depths before a structure,
// and the locator's error is not the same all along it (set by crown_tapes).
constexpr double end_of_grade_sd_m = 0.03;

// Of a lawn about an even fall (common practice, no source).
constexpr double uneven_m = 0.05;

struct Height {
    double station_m = 0.0;
    Estimate z_m;
};

std::optional<Height> height_of(const StationedVertical& seen, double below_m) {
    const VerticalObservation& row = seen.row;
    if (!row.ground_m) return std::nullopt;
    return Height{seen.station_m,
                  {row.ground_m->value - row.depth_m.value - below_m,
                   std::hypot(row.ground_m->sd, row.depth_m.sd)}};
}

std::vector<Height> depths_near(const AlignedRun& run, double bore_m, double station_m) {
    const double below_m = run.run.sonde_height_m.value_or(0.5 * bore_m);
    std::vector<Height> heights;
    for (const StationedVertical& seen : run.vertical) {
        if (seen.row.kind != VerticalKind::sonde_depth) continue;
        if (std::abs(seen.station_m - station_m) > near_end_m) continue;
        if (const auto height = height_of(seen, below_m)) heights.push_back(*height);
    }
    std::ranges::stable_sort(
        heights, {}, [&](const Height& one) { return std::abs(one.station_m - station_m); });
    heights.resize(std::min(heights.size(), most_depths));
    return heights;
}

// The straight line through heights, at `station_m`: weighted least squares about that station.
std::optional<Estimate> even_grade_at(const std::vector<Height>& heights, double station_m) {
    if (heights.size() < fewest_depths) return std::nullopt;
    double w = 0.0, wx = 0.0, wxx = 0.0, wz = 0.0, wxz = 0.0;
    for (const Height& height : heights) {
        const double weight = 1.0 / (height.z_m.sd * height.z_m.sd);
        const double x = height.station_m - station_m;
        w += weight;
        wx += weight * x;
        wxx += weight * x * x;
        wz += weight * height.z_m.value;
        wxz += weight * x * height.z_m.value;
    }
    const double determinant = w * wxx - wx * wx;
    if (!(determinant > 0.0)) return std::nullopt;
    const double z = (wxx * wz - wx * wxz) / determinant;
    const double slope = (w * wxz - wx * wz) / determinant;
    double square_sum = 0.0;
    for (const Height& height : heights) {
        const double fitted = z + slope * (height.station_m - station_m);
        square_sum += std::pow((height.z_m.value - fitted) / height.z_m.sd, 2);
    }
    if (square_sum > scatters_above * static_cast<double>(heights.size() - 2)) return std::nullopt;
    return Estimate{z, std::sqrt(wxx / determinant)};
}

// The ground where something was taped, above an even fall of the ground at the depths beside it.
std::optional<Estimate> ground_above_m(const AlignedRun& run, const StationedVertical& taped) {
    std::vector<Height> ground;
    for (const StationedVertical& seen : run.vertical) {
        if (seen.row.kind != VerticalKind::sonde_depth || !seen.row.ground_m) continue;
        if (std::abs(seen.station_m - taped.station_m) > near_end_m) continue;
        ground.push_back({seen.station_m,
                          {seen.row.ground_m->value, std::hypot(seen.row.ground_m->sd, uneven_m)}});
    }
    const auto even = even_grade_at(ground, taped.station_m);
    if (!even || !taped.row.ground_m) return std::nullopt;
    return Estimate{taped.row.ground_m->value - even->value,
                    std::hypot(taped.row.ground_m->sd, uneven_m, even->sd)};
}

}  // namespace

std::vector<TapedEnd> taped_ends(const Lines& lines) {
    std::vector<TapedEnd> ends;
    for (std::size_t r = 0; r < lines.runs.size(); ++r) {
        const AlignedRun& run = lines.runs[r];
        if (!run.run.diameter_m) continue;
        const double bore_m = grade::inside_diameter_m({*run.run.diameter_m, run.run.material});
        for (const StationedVertical& seen : run.vertical) {
            const bool start = seen.row.kind == VerticalKind::taped_start;
            if (!start && seen.row.kind != VerticalKind::taped_end) continue;
            const std::optional<int> structure = start ? run.run.from : run.run.to;
            const auto taped = height_of(seen, 0.0);
            const auto grade =
                even_grade_at(depths_near(run, bore_m, seen.station_m), seen.station_m);
            if (!structure || !taped || !grade) continue;
            ends.push_back({*structure,
                            r,
                            bore_m,
                            seen.row.depth_m.value,
                            {taped->z_m.value - grade->value,
                             std::hypot(taped->z_m.sd, grade->sd, end_of_grade_sd_m)},
                            ground_above_m(run, seen)});
        }
    }
    return ends;
}

Estimate mean_above_m(const std::vector<TapedEnd>& ends) {
    double weights = 0.0;
    double sum = 0.0;
    for (const TapedEnd& end : ends) {
        const double weight = 1.0 / (end.above_m.sd * end.above_m.sd);
        weights += weight;
        sum += weight * end.above_m.value;
    }
    return {sum / weights, 1.0 / std::sqrt(weights)};
}

}  // namespace sondeline
