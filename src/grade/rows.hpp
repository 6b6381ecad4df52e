// Vertical observations of one run as rows of the adjustment: each says a height in metres that is
// the invert at one station, or the difference of the invert at two.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "sondeline/alignment.hpp"
#include "sondeline/grade.hpp"

#include "grade/ground.hpp"

namespace sondeline::grade {

struct Row {
    VerticalKind kind = VerticalKind::sonde_depth;
    double y_m = 0.0;
    double sd_m = 0.0;                 // of this row alone; what rows share is in the model
    double station_m = 0.0;            // y = z(station) …
    std::optional<double> less_at_m;   // … − z(less_at), still water and level log only
    double depth_m = 0.0;              // as read
    double even_depth_m = 0.0;         // scales a locator's proportional error (even_depths.hpp)
    double below_ground_m = 0.0;       // the invert, by that depth
    std::optional<Estimate> ground_m;  // of its own
    bool ground_interpolated = false;  // shares the ground's error with its neighbours
    std::optional<int> fix;            // index into Site::fixes
    int log = -1;                      // level log: rows of one number share the level's zero
    std::string source;
};

bool is_locator(const Row& row);  // depth of a transmitter: shares the locator's own errors
bool is_tape(const Row& row);     // invert measured with tape or rod
bool is_water(const Row& row);
bool is_level_log(const Row& row);
bool says_height(const Row& row);  // else the difference of two
// Depths whose errors may be larger or smaller than stated, all of a run by one factor.
bool scatters(const Row& row);
// Rows from fixes and from the camera's level; a tape is questioned, never dropped.
bool may_be_outlier(const Row& row);

// Depth of seen water at one station.
struct WaterSounding {
    double station_m = 0.0;
    Estimate depth_m;
};

// Water noted or seen standing between two stations; `depth_m` where someone gave it.
struct Water {
    double from_m = 0.0;
    std::optional<double> to_m;
    std::optional<double> depth_m;
    std::optional<double> depth_sd_m;      // where it was measured in the footage
    std::optional<double> deepest_share;   // of the inside diameter, from the footage
    std::vector<WaterSounding> soundings;  // from the footage, where the bore is known
    double level_sd_m = 0.0;               // more than that of still water, from its ends
    double from_sd_m = 0.0;                // of its shores along the pipe
    double to_sd_m = 0.0;
    bool from_seen = true;  // its shore; else the water reaches back from there
    bool to_seen = true;
    bool deepest_unseen = false;  // how deep it is at most was not seen: no depth, no soundings
    Witness witness = Witness::note;
    std::string words;
    std::string note;  // of the same water, where the footage shows it
};

// How much of what a locator is off by wanders along a run: the variance of that part over the
// variance of what stays the same (locator_wander.hpp).
struct LocatorWander {
    double share = 0.0;       // given that all tapes are sound
    double beside_sag = 0.0;  // and that the pipe sags where that is likeliest
};

// How likely a taped invert is off (tape_slips.hpp), by all rows of a site.
struct TapeOdds {
    VerticalKind tape = VerticalKind::taped_start;
    double probability = 0.0;
    double wander_share = 0.0;  // given that it is
};

struct RunRows {
    double length_m = 0.0;  // along the pipe
    ZReference z_reference = ZReference::none;
    std::vector<Row> rows;  // by station, depth rows before water rows
    GroundLine ground;      // empty unless z is an elevation
    std::vector<Water> waters;
    // One tape or both may belong to another end (exchanged_tapes.hpp).
    bool tapes_look_exchanged = false;
    // The ground at one end or both may belong to another structure (exchanged_heights.hpp).
    bool heights_look_exchanged = false;
    // None until settle_locator_wander.
    LocatorWander wander;
    std::vector<TapeOdds> tape_odds;
    Findings findings;
    LengthUnit unit = LengthUnit::metre;  // of words
};

// Rows of the camera's level stand last, with the sign that it shows (level_log.hpp).
//
// z = ground − depth − sonde height for a transmitter, − outside diameter for a probe. Without any
// known ground along the run, z is minus depth and water rows are left out, as they speak of true
// level. Rows that cannot be a depth (not finite, negative, a metre beyond an end) are left out;
// of more than kMaxRows depth rows every k-th is used. Either is a finding.
RunRows make_rows(const AlignedRun& run, ZReference z_reference,
                  const std::vector<NotedWater>& noted);

inline constexpr std::size_t kMaxRows = 200;

}  // namespace sondeline::grade
