#include "grade/rows.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "grade/even_depths.hpp"
#include "grade/level_log.hpp"
#include "grade/phrases.hpp"
#include "grade/pipe_size.hpp"

namespace sondeline::grade {

namespace {

// Two ends of one sheet of still water; and its depth at one place.
constexpr double kWaterLevelSd_m = 0.010;
constexpr double kWaterDepthSd_m = 0.012;
// A depth of water judged by eye from the footage is good to half of itself, and where it was
// judged is not known (common practice, no source).
constexpr double kByEye = 0.5;
constexpr double kSmallestSd_m = 0.002;
// Ground that was declared level is still no table (common practice, no source).
constexpr double kLevelGroundSd_m = 0.03;
constexpr double kBeyondEnds_m = 1.0;
// Beyond these no drain lies; they keep nonsense out of the arithmetic.
constexpr double kDeepest_m = 50.0;
constexpr double kHighest_m = 9000.0;
constexpr double kLongest_m = 100e3;
// A shore put down by what the counter read as the camera went by (common practice, no source).
constexpr double kNotedShoreSd_m = 0.15;
// Two records of one water, from the note and from the survey of the footage.
constexpr double kSameWater_m = 0.15;
// Where neither size of pipe nor height of transmitter is known: half of a 4 in bore.
constexpr double kUsualSondeHeight_m = 0.05;

double run_length_m(const AlignedRun& run) {
    if (run.length_m) return run.length_m->value;
    if (!run.points.empty()) return run.points.back().station_m;
    double furthest_m = 0.0;
    for (const StationedVertical& seen : run.vertical) {
        furthest_m = std::max({furthest_m, seen.station_m, seen.to_station_m});
    }
    return furthest_m;
}

bool within(double value, double low, double high) {
    return value >= low && value <= high;
}

bool usable(const StationedVertical& seen, double length_m) {
    return within(seen.row.depth_m.value, 0.0, kDeepest_m) &&
           within(seen.row.depth_m.sd, 0.0, kDeepest_m) &&
           within(seen.station_m, -kBeyondEnds_m, length_m + kBeyondEnds_m);
}

bool known_ground(const VerticalObservation& row) {
    return row.ground_m && within(row.ground_m->value, -kHighest_m, kHighest_m) &&
           within(row.ground_m->sd, 0.0, kDeepest_m);
}

GroundLine known_ground_line(const AlignedRun& run, double length_m) {
    std::vector<GroundPoint> points;
    for (const StationedVertical& seen : run.vertical) {
        if (!is_depth(seen.row.kind) || !usable(seen, length_m)) continue;
        if (!known_ground(seen.row)) continue;
        points.push_back({std::clamp(seen.station_m, 0.0, length_m), *seen.row.ground_m});
    }
    return ground_line(std::move(points));
}

// From the depth's lower end down to the invert.
std::optional<Estimate> below_reading(const AlignedRun& run, VerticalKind kind) {
    const PipeSize size{run.run.diameter_m.value_or(0.0), run.run.material};
    switch (kind) {
        case VerticalKind::sonde_depth:
            if (run.run.sonde_height_m) return Estimate{*run.run.sonde_height_m, 0.0};
            if (run.run.diameter_m) return Estimate{inside_diameter_m(size) / 2.0, 0.0};
            return Estimate{kUsualSondeHeight_m, 0.0};
        case VerticalKind::probe_depth:
            if (!run.run.diameter_m) return std::nullopt;
            return outside_diameter_m(size);
        default: return Estimate{0.0, 0.0};
    }
}

std::optional<Row> depth_row(const AlignedRun& run, const RunRows& all,
                             const StationedVertical& seen) {
    const auto below = below_reading(run, seen.row.kind);
    if (!below) return std::nullopt;
    Row row;
    row.kind = seen.row.kind;
    row.station_m = std::clamp(seen.station_m, 0.0, all.length_m);
    row.depth_m = seen.row.depth_m.value;
    row.below_ground_m = row.depth_m + below->value;
    row.y_m = -row.below_ground_m;
    double variance =
        std::pow(std::max(seen.row.depth_m.sd, kSmallestSd_m), 2) + below->sd * below->sd;
    const bool level_ground = all.z_reference == ZReference::assumed_level_ground;
    if (!all.ground.known.empty()) {
        if (known_ground(seen.row)) {
            row.ground_m = seen.row.ground_m;
            row.y_m += seen.row.ground_m->value;
            variance += seen.row.ground_m->sd * seen.row.ground_m->sd;
        } else {
            row.y_m += ground_at(all.ground, row.station_m)->value;
            row.ground_interpolated = true;
        }
    }
    if (level_ground) variance += kLevelGroundSd_m * kLevelGroundSd_m;
    row.sd_m = std::sqrt(variance);
    if (seen.row.fix >= 0) row.fix = seen.row.fix;
    row.source = seen.row.source;
    return row;
}

void add_depth_rows(const AlignedRun& run, RunRows& all) {
    int unusable = 0;
    int without_size = 0;
    std::vector<Row> rows;
    for (const StationedVertical& seen : run.vertical) {
        if (!is_depth(seen.row.kind)) continue;
        if (!usable(seen, all.length_m)) {
            ++unusable;
        } else if (auto row = depth_row(run, all, seen)) {
            rows.push_back(std::move(*row));
        } else {
            ++without_size;
        }
    }
    if (unusable > 0) {
        all.findings.push_back(run_finding(
            run.run.id, Severity::caution,
            fmt::format("{} of the depths of this run are no depths of a drain, or lie beyond its "
                        "ends, and were left out.",
                        unusable),
            "Check the depth and counter columns of the fixes of this run."));
    }
    if (without_size > 0) {
        all.findings.push_back(run_finding(
            run.run.id, Severity::caution,
            fmt::format("{} probed depths reach the top of the pipe, and the pipe's diameter is "
                        "not known, so they say nothing of its invert.",
                        without_size),
            "Enter the diameter of this run."));
    }
    std::ranges::stable_sort(rows, {}, &Row::station_m);
    const std::size_t stride = (rows.size() + kMaxRows - 1) / kMaxRows;
    for (std::size_t i = 0; i < rows.size(); i += stride) all.rows.push_back(rows[i]);
    set_even_depths(all.rows);
    if (stride > 1) {
        all.findings.push_back(
            run_finding(run.run.id, Severity::info,
                        fmt::format("This run has {} depths; one in {} was used for its profile.",
                                    rows.size(), stride),
                        "Nothing, unless the same fix stands in the table many times."));
    }
}

// Where ends are known less well than the water is level, the pipe falls between: by so much a
// metre at most beside a belly (common practice, no source).
constexpr double kShoreSlope = 0.03;

// The deepest, and one halfway to either end: their errors are mostly one, that of the lens.
std::vector<SeenWaterDepth> telling_depths(const SeenWater& seen) {
    const auto deepest = std::ranges::max_element(
        seen.depths, {}, [](const SeenWaterDepth& d) { return d.share.value; });
    if (deepest == seen.depths.end()) return {};
    std::vector<SeenWaterDepth> chosen{*deepest};
    const auto at = deepest - seen.depths.begin();
    const auto last = static_cast<std::ptrdiff_t>(seen.depths.size()) - 1;
    if (at >= 2) chosen.push_back(seen.depths[static_cast<std::size_t>(at / 2)]);
    if (last - at >= 2)
        chosen.push_back(seen.depths[static_cast<std::size_t>((at + last + 1) / 2)]);
    return chosen;
}

void add_soundings(const AlignedRun& run, const SeenWater& seen, Water& water) {
    water.from_seen = seen.from_seen;
    water.to_seen = seen.to_seen;
    water.deepest_unseen = seen.deepest_unseen;
    water.from_sd_m = seen.from_sd_m;
    water.to_sd_m = seen.to_sd_m;
    water.level_sd_m = kShoreSlope * std::hypot(seen.from_sd_m, seen.to_sd_m);
    const std::vector<SeenWaterDepth> depths = telling_depths(seen);
    if (depths.empty()) return;
    water.deepest_share = depths.front().share.value;
    // What was seen is then mostly too shallow, nearest to the deepest place most of all.
    if (seen.deepest_unseen) return;
    if (!run.run.diameter_m || !(*run.run.diameter_m > 0.0)) return;
    const double bore_m = inside_diameter_m({*run.run.diameter_m, run.run.material});
    for (const SeenWaterDepth& depth : depths) {
        water.soundings.push_back(
            {station_of_x(run, depth.x_m),
             {depth.share.value * bore_m, std::hypot(kWaterDepthSd_m, depth.share.sd * bore_m)}});
    }
    water.depth_m = water.soundings.front().depth_m.value;
    water.depth_sd_m = water.soundings.front().depth_m.sd;
}

Water seen_water(const AlignedRun& run, const StationedVertical& seen) {
    Water water;
    water.from_m = std::min(seen.station_m, seen.to_station_m);
    water.to_m = std::max(seen.station_m, seen.to_station_m);
    water.witness = seen.row.water ? Witness::footage : Witness::note;
    water.words = seen.row.source;
    water.from_sd_m = water.to_sd_m = kNotedShoreSd_m;
    constexpr std::string_view said_before = "footage ";
    if (water.words.starts_with(said_before)) water.words.erase(0, said_before.size());
    if (seen.row.water) add_soundings(run, *seen.row.water, water);
    if (seen.station_m > seen.to_station_m) std::swap(water.from_sd_m, water.to_sd_m);
    return water;
}

Water noted_water(const AlignedRun& run, const NotedWater& noted) {
    Water water;
    water.from_sd_m = water.to_sd_m = kNotedShoreSd_m;
    water.from_m = station_of_x(run, noted.from_x_m);
    if (noted.to_x_m) {
        const double to_m = station_of_x(run, *noted.to_x_m);
        water.to_m = std::max(water.from_m, to_m);
        water.from_m = std::min(water.from_m, to_m);
    }
    if (noted.depth_m && std::isfinite(*noted.depth_m) && *noted.depth_m > 0.0) {
        water.depth_m = noted.depth_m;
    }
    water.words = noted.words;
    return water;
}

bool same(const Water& a, const Water& b) {
    return std::abs(a.from_m - b.from_m) <= kSameWater_m && a.to_m.has_value() &&
           b.to_m.has_value() && std::abs(*a.to_m - *b.to_m) <= kSameWater_m;
}

// Records of one water: those of one note, or a note and footage that mostly lie on each other.
bool one_water(const Water& known, const Water& seen) {
    if (same(known, seen)) return true;
    if (known.witness == seen.witness || !known.to_m || !seen.to_m) return false;
    const double shared_m = std::min(*known.to_m, *seen.to_m) - std::max(known.from_m, seen.from_m);
    return 2.0 * shared_m > std::min(*known.to_m - known.from_m, *seen.to_m - seen.from_m);
}

void add_waters(const AlignedRun& run, const std::vector<NotedWater>& noted, RunRows& all) {
    const auto in_run = [&](Water water) {
        water.from_m = std::clamp(water.from_m, 0.0, all.length_m);
        if (water.to_m) water.to_m = std::clamp(*water.to_m, 0.0, all.length_m);
        return water;
    };
    for (const NotedWater& one : noted) {
        if (std::isfinite(one.from_x_m) && (!one.to_x_m || std::isfinite(*one.to_x_m))) {
            all.waters.push_back(in_run(noted_water(run, one)));
        }
    }
    for (const StationedVertical& seen : run.vertical) {
        if (seen.row.kind != VerticalKind::still_water || !usable(seen, all.length_m) ||
            !within(seen.to_station_m, -kLongest_m, kLongest_m)) {
            continue;
        }
        Water water = in_run(seen_water(run, seen));
        const auto twin = std::ranges::find_if(
            all.waters, [&](const Water& other) { return one_water(other, water); });
        if (twin == all.waters.end()) {
            all.waters.push_back(std::move(water));
        } else if (water.witness == Witness::footage && twin->witness == Witness::note) {
            water.note = twin->words;
            // What was judged by eye stands where the footage did not see the deepest part.
            if (!water.depth_m) water.depth_m = twin->depth_m;
            *twin = std::move(water);
        }
    }
    std::ranges::stable_sort(all.waters, {}, &Water::from_m);
    if (all.waters.size() > kMaxRows) all.waters.resize(kMaxRows);
}

void add_water_rows(RunRows& all) {
    for (const Water& water : all.waters) {
        if (!water.to_m || *water.to_m - water.from_m < 2.0 * kSameWater_m) continue;
        // Without both shores there is no pair of places at one height.
        if (!water.from_seen || !water.to_seen) continue;
        Row level;
        level.kind = VerticalKind::still_water;
        level.sd_m = std::hypot(kWaterLevelSd_m, water.level_sd_m);
        level.station_m = water.from_m;
        level.less_at_m = *water.to_m;
        level.source = water.words;
        all.rows.push_back(level);
        for (const WaterSounding& sounding : water.soundings) {
            Row depth = level;
            depth.y_m = sounding.depth_m.value;
            depth.sd_m = std::hypot(sounding.depth_m.sd, water.level_sd_m);
            depth.station_m = *water.to_m;
            depth.less_at_m = std::clamp(sounding.station_m, water.from_m, *water.to_m);
            all.rows.push_back(depth);
        }
        if (!water.depth_m || !water.soundings.empty()) continue;
        // The shore less the invert in the middle, where a sag is deepest if it is even.
        Row depth = level;
        depth.y_m = *water.depth_m;
        depth.sd_m = std::hypot(kWaterDepthSd_m, kByEye * *water.depth_m);
        depth.station_m = *water.to_m;
        depth.less_at_m = 0.5 * (water.from_m + *water.to_m);
        all.rows.push_back(depth);
    }
}

ZReference reference_of(ZReference site, bool any_depth, bool any_ground) {
    const bool levelled = site == ZReference::elevation || site == ZReference::benchmark;
    if (levelled && any_ground) return site;
    if (site == ZReference::assumed_level_ground) return site;
    return any_depth ? ZReference::below_ground : ZReference::none;
}

}  // namespace

bool is_locator(const Row& row) {
    return row.kind == VerticalKind::sonde_depth;
}

bool is_water(const Row& row) {
    return row.kind == VerticalKind::still_water;
}

bool is_level_log(const Row& row) {
    return row.kind == VerticalKind::level_log;
}

bool says_height(const Row& row) {
    return !row.less_at_m.has_value();
}

bool is_tape(const Row& row) {
    return row.kind == VerticalKind::open_depth || row.kind == VerticalKind::taped_start ||
           row.kind == VerticalKind::taped_end;
}

bool scatters(const Row& row) {
    return is_locator(row) || row.kind == VerticalKind::probe_depth;
}

bool may_be_outlier(const Row& row) {
    return is_level_log(row) || (says_height(row) && row.fix.has_value());
}

RunRows make_rows(const AlignedRun& run, ZReference z_reference,
                  const std::vector<NotedWater>& noted) {
    RunRows all;
    all.length_m = run_length_m(run);
    if (!within(all.length_m, 0.0, kLongest_m)) all.length_m = 0.0;
    const bool levelled =
        z_reference == ZReference::elevation || z_reference == ZReference::benchmark;
    if (levelled) all.ground = known_ground_line(run, all.length_m);
    all.z_reference = z_reference;
    add_depth_rows(run, all);
    all.z_reference = reference_of(z_reference, !all.rows.empty(), !all.ground.known.empty());
    add_waters(run, noted, all);
    if (all.z_reference != ZReference::below_ground) {
        add_water_rows(all);
        std::ranges::move(level_log_rows(run, all.length_m), std::back_inserter(all.rows));
    }
    if (run.run.vertical.empty() || all.rows.empty()) return all;
    if (!run.run.sonde_height_m && !run.run.diameter_m &&
        std::ranges::any_of(all.rows, is_locator)) {
        all.findings.push_back(run_finding(
            run.run.id, Severity::info,
            "Neither the diameter of this run nor the height of the transmitter above the invert "
            "is known; 5 cm (2 in) was taken.",
            "Enter the diameter, or the sonde height in the job table."));
    }
    return all;
}

}  // namespace sondeline::grade
