// Grade: invert profile, slope by stretch and bellies of every run, each with bounds, or withheld.
#pragma once

#include "sondeline/alignment.hpp"

namespace sondeline {

struct ProfilePoint {
    double station_m = 0.0;
    Bounded z_m;  // invert; meaning by z_reference
    double z_sd_m = 0.0;
    std::optional<Estimate> ground_m;  // elevation, interpolated between known ground points
    std::optional<Bounded> cover_m;    // ground down to invert
};

enum class SlopeVerdict { meets, below, cannot_tell, not_asked };
std::string_view word(SlopeVerdict verdict);

struct Stretch {
    double from_m = 0.0;  // stations
    double to_m = 0.0;
    Figure<Estimate> slope;               // fall per length in the direction of flow
    std::optional<double> minimum_slope;  // asked of this kind and diameter
    std::string minimum_source;           // table and edition
    SlopeVerdict verdict = SlopeVerdict::not_asked;
};

enum class Witness { profile, footage, note, level_log };
std::string_view word(Witness witness);

struct Belly {
    Bounded length_m() const;  // within the bounds of both ends, never negative

    double from_m = 0.0;
    double to_m = 0.0;
    // How well its ends are known; an end that nobody saw reaches to the run's own. Empty: exactly.
    std::optional<Bounded> from_bounds_m;
    std::optional<Bounded> to_bounds_m;
    std::optional<Bounded> depth_m;   // deepest ponding; empty: not measured
    std::optional<Bounded> volume_l;  // standing water, litres
    Figure<double> probability;       // from the joint profile; withheld when it cannot tell
    std::vector<Witness> evidence;
    std::string words;  // what each witness says, plain
};

// The smallest sag these data would show 9 times in 10, wherever it lies, with false alarms in 1
// straight run of 20 at most.
struct DetectionLimit {
    double width_m = 0.0;
    std::optional<double> sag_m;      // empty: may go unseen as deep as any pipe sags
    std::optional<double> ponding_m;  // that it makes on the fitted grade
};

// The least standing water that the footage could have shown: with 90 % power, by rendered footage.
// Shares are of the run's length, together at most 1.
struct FootageLimit {
    double sure = 0.0;    // seen plainly: water as deep as `water_share` would have been noticed
    double open = 0.0;    // something runs along the wall that may be water
    double faint = 0.0;   // seen, but no depth of water is sure to have been noticed
    double unseen = 1.0;  // the pipe was not seen along its axis, or the footage does not reach
    std::optional<double> water_share;  // of the inside diameter; empty: nowhere is any depth sure
    std::optional<double> water_m;      // the same; empty also where the diameter is not known
    std::string words;
};

struct GradedRun {
    RunId id;
    ZReference z_reference = ZReference::none;
    bool flow_with_push = true;         // false: water runs against the push
    std::vector<ProfilePoint> profile;  // every 0.1 m … 0.5 m; empty: no depths
    Figure<Estimate> slope;             // whole run, fall per length in the direction of flow
    Figure<Estimate> fall_m;
    Figure<Bounded> min_cover_m;  // ground down to invert: bounds of the least itself, wherever it
    Figure<Bounded> max_cover_m;  // lies, and of the greatest
    Figure<Bounded> start_invert_m;
    Figure<Bounded> end_invert_m;
    std::optional<double> level_range_m;  // trenches: max − min of the invert, median
    std::vector<Stretch> stretches;
    std::vector<Belly> bellies;
    std::vector<DetectionLimit> limits;
    FootageLimit footage_limit;
    int depth_rows_used = 0;
    std::vector<int> rejected_depth_fixes;                  // indices into Site::fixes
    std::vector<std::pair<int, double>> depth_residuals_m;  // fix index, observed − adjusted depth
    std::string limit_words;     // "depths alone would not show a sag under 19 cm here"
    std::string capacity_words;  // full-bore flow by Manning, or why not
};

// Ground heights that their neighbours and the pipes below contradict, so that no figure rests on
// them.
struct HeightsNotUsed {
    std::vector<int> structures;  // indices into Lines::structures, rising
    std::vector<int> fixes;       // indices into Site::fixes, rising
    // Structures whose readings look written down for each other: their grounds count as halfway
    // between them, with bounds that hold both. Indices into Lines::structures, rising.
    std::vector<int> exchanged;
};

struct Profiles {
    std::vector<GradedRun> runs;  // same order as Lines::runs
    HeightsNotUsed heights_not_used;
    Findings findings;
};

// A stretch noted as holding water, which reaches grade as a value.
struct NotedWater {
    int run = -1;
    double from_x_m = 0.0;
    std::optional<double> to_x_m;
    std::optional<double> depth_m;  // when the note gives one
    std::string words;              // "standing water, about 1 in"
};

// A structure whose ground rests on a single rod reading.
struct HeightReadOnce {
    int structure = -1;  // index into Lines::structures
    std::string setup;   // of the level, as the table names it
};

struct GradeOptions {
    ZReference z_reference = ZReference::none;
    std::vector<HeightReadOnce> read_once;
    std::vector<NotedWater> noted_water;
    std::string minimum_slope_table = "IPC Table 704.1";
    std::optional<double> design_flow_m3_per_s;  // averaged over a day
    InclinationSign inclination_sign = InclinationSign::not_said;
    LengthUnit unit = LengthUnit::metre;  // that words give first
};

// Deterministic: samples are drawn from a generator seeded by the run's id.
Profiles grade_lines(const Lines& lines, const GradeOptions& options);

}  // namespace sondeline
