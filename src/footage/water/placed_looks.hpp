// Looks along the pipe, placed by the counter and judged one by one.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "sondeline/footage.hpp"

#include "footage/water/lens_lean.hpp"
#include "footage/water/water_look.hpp"

namespace sondeline {

struct PlacedLook {
    WaterLook look;
    WaterState state = WaterState::no_pipe;
    double share = 0.0;       // of the inside diameter, where state is water
    double x_m = 0.0;         // continuous counter of what is seen, in metres
    double ahead_sd_m = 0.0;  // of how far it lies ahead of the lens
    bool placed = false;      // the counter was read
    bool retrieving = false;  // the head was being drawn back
};

// The clip as a run of its own: its counter made continuous across zeroings.
JoinedTrack continuous(const Track& track);

// Counter made continuous at a moment, linear between samples; empty where it was not read.
std::optional<double> counter_at(const JoinedTrack& joined, double time_s);

// How far the counter goes on while the wall comes nearer by one, see FlowLook::moved; empty when
// too few looks show it.
std::optional<double> count_by_passing(std::span<const WaterLook> looks, const JoinedTrack& joined);

// How far ahead of the lens the shores are measured, from how far the wall passes while the counter
// moves on. A wide-angle lens (90° to 120° across its diagonal, common practice, no source) sees
// the wall there from 1 to 2 radii ahead; taken as 0.08 ± 0.06 m when too few looks show it.
Estimate ahead_of_lens(std::span<const WaterLook> looks, const JoinedTrack& joined,
                       double metres_per_count);

// Whether what is seen passes the lens as the counter says, towards it while the head is pushed in:
// else it is no pipe that the head goes through, whatever it looks like.
bool passes_with_counter(std::span<const WaterLook> looks, const JoinedTrack& joined);

// Every look in time order. What is seen lies `ahead_m` ahead of the lens.
std::vector<PlacedLook> place_looks(std::span<const WaterLook> looks, const JoinedTrack& joined,
                                    double metres_per_count, const LensPlace& lens);

// Share of the diameter that a level covers whose shores are seen `half_rad` off straight down; and
// how far it is off when the lens stands elsewhere.
Estimate share_of(double half_rad, const Estimate& lens_height);

}  // namespace sondeline
