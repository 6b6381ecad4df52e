#include "pipeline/taped_crowns.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "grade/phrases.hpp"
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
// What a locator's depths are off by on one site, all of them (common practice, no source).
constexpr double locator_sd_m = 0.03;
constexpr std::size_t fewest_here = 2;
constexpr std::size_t fewest_others = 2;
// In squares of standard deviations: how much better the crown explains it than the invert (set by
// crown_tapes, so that 2 rightly taped sites of 100 are named at most).
constexpr double explains_better = 5.5;
// Where the other tapes lie higher than this, in bores, they may be taped to the top as well.
constexpr double others_at_most = 0.65;
// How far from one bore it may lie, in bores: more is another slip.
constexpr double about_a_bore = 0.35;

struct Height {
    double station_m = 0.0;
    Estimate z_m;
};

// A taped end against the depths along its pipe.
struct TapedEnd {
    int structure = -1;
    std::size_t run = 0;
    double bore_m = 0.0;
    Estimate above_m;  // of the grade of the depths
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
                            {taped->z_m.value - grade->value,
                             std::hypot(taped->z_m.sd, grade->sd, end_of_grade_sd_m)}});
        }
    }
    return ends;
}

template <class Is>
Estimate weighted_mean(const std::vector<TapedEnd>& ends, Is is) {
    double weights = 0.0;
    double sum = 0.0;
    for (const TapedEnd& end : ends) {
        if (!is(end)) continue;
        const double weight = 1.0 / (end.above_m.sd * end.above_m.sd);
        weights += weight;
        sum += weight * end.above_m.value;
    }
    return {sum / weights, 1.0 / std::sqrt(weights)};
}

// How much higher than all other tapes of the job those of a structure lie, if that looks like the
// crown.
std::optional<Estimate> crown_at(const std::vector<TapedEnd>& ends, int structure) {
    const auto here = [&](const TapedEnd& end) { return end.structure == structure; };
    const auto elsewhere = [&](const TapedEnd& end) { return end.structure != structure; };
    const auto count = static_cast<std::size_t>(std::ranges::count_if(ends, here));
    if (count < fewest_here || ends.size() - count < fewest_others) return std::nullopt;
    const Estimate mine = weighted_mean(ends, here);
    const Estimate others = weighted_mean(ends, elsewhere);
    const double known = std::pow(locator_sd_m / std::hypot(locator_sd_m, others.sd), 2);
    const Estimate locator{known * others.value, std::sqrt(known) * others.sd};
    const Estimate above{mine.value - locator.value, std::hypot(mine.sd, locator.sd)};
    double bore_m = 0.0;
    for (const TapedEnd& end : ends) bore_m += here(end) ? end.bore_m : 0.0;
    bore_m /= static_cast<double>(count);
    if (others.value > others_at_most * bore_m) return std::nullopt;
    const double as_invert = std::pow(above.value / above.sd, 2);
    const double as_crown = std::pow((above.value - bore_m) / above.sd, 2);
    if (std::abs(above.value - bore_m) > about_a_bore * bore_m) return std::nullopt;
    if (as_invert - as_crown < explains_better) return std::nullopt;
    return above;
}

bool taped_at(const AlignedRun& run, const StationedVertical& seen, int structure) {
    return (seen.row.kind == VerticalKind::taped_start && run.run.from == structure) ||
           (seen.row.kind == VerticalKind::taped_end && run.run.to == structure);
}

std::vector<std::string> runs_taped_at(const Lines& lines, int structure) {
    std::vector<std::string> runs;
    for (const AlignedRun& run : lines.runs) {
        const bool taped = std::ranges::any_of(run.vertical, [&](const StationedVertical& seen) {
            return taped_at(run, seen, structure);
        });
        if (taped) runs.push_back(run.run.id.text);
    }
    return runs;
}

// Each tape of a structure is off by nothing or, likelier, by one bore: that is its deviation.
void reach_to_invert(int structure, Lines& lines) {
    for (AlignedRun& run : lines.runs) {
        if (!run.run.diameter_m) continue;
        const double bore_m = grade::inside_diameter_m({*run.run.diameter_m, run.run.material});
        for (StationedVertical& seen : run.vertical) {
            if (!taped_at(run, seen, structure)) continue;
            seen.row.depth_m.sd = std::max(seen.row.depth_m.sd, bore_m);
        }
    }
}

}  // namespace

void doubt_taped_crowns(LengthUnit unit, Lines& lines) {
    const std::vector<TapedEnd> ends = taped_ends(lines);
    for (std::size_t s = 0; s < lines.structures.size(); ++s) {
        const auto structure = static_cast<int>(s);
        const auto above = crown_at(ends, structure);
        if (!above) continue;
        Where where;
        where.structure = lines.structures[s].id.text;
        lines.findings.push_back(
            {Severity::caution, where,
             fmt::format("The inverts taped at {} ({}) lie {} above the depths along these pipes, "
                         "give or take {}, and those taped elsewhere do not. That is about the "
                         "inside of the pipe: they look taped to its top. The bounds of these "
                         "tapes were widened to reach its invert.",
                         where.structure, fmt::join(runs_taped_at(lines, structure), ", "),
                         grade::height_words(above->value, unit),
                         grade::height_words(normal_95 * above->sd, unit)),
             "Tape again, down to the lowest point inside each pipe, and write that in the runs "
             "table."});
        reach_to_invert(structure, lines);
    }
}

}  // namespace sondeline
