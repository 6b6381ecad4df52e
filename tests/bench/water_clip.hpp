// The clips that the finder of standing water is measured on: pipes × lamps × lenses × heads ×
// overlays, half of them with standing water and half without, drawn by seed. Everything here is
// invented.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "bench/matrix_clip.hpp"
#include "support/scenario.hpp"

namespace sondeline::bench {

// Standing water as it was drawn; stations of the lens.
struct DrawnWater {
    double from_m = 0.0;
    double to_m = 0.0;
    double deepest_ratio = 0.0;  // over the inside diameter, at the deepest
};

// From this number on the clips of the tuning half show the wider world of wide_looks.hpp.
inline constexpr std::uint64_t first_wide_look = 1000;

struct WaterClip {
    std::string words;      // what is in it: for the reader of the table
    bool held_out = false;  // material, lamp, lens and overlay of a family kept from tuning
    std::optional<DrawnWater> water;
    double counter_unit_m = 1.0;
    double counter_at_start = 0.0;
    support::Scenario scenario;
};

// The clip of this number; odd ones hold standing water. Thresholds are chosen on `tuning`, figures
// quoted from `judged`, half of whose clips show families of looks that tuning never shows.
WaterClip water_clip(Half half, std::uint64_t number);

// Draws the standing water of a clip that has some as deep as this at its deepest, over the inside
// diameter: same shape, same length.
void set_deepest(double ratio, WaterClip& clip);

// Depth over diameter of the drawn water at a station.
double drawn_ratio(const support::Scenario& scenario, double station_m);

}  // namespace sondeline::bench
