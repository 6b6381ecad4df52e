// Whether the deepest place of a run of looks was seen plainly enough for its depth to be told.
#pragma once

#include "footage/water/water_runs.hpp"

namespace sondeline {

// Whether a run is deepest in its outermost look and gets deeper towards it, so deep that it goes
// on beyond: the surface of standing water is level, and ends where it is shallow. `sign` 1 at the
// far end.
bool rises_to_end(const WaterRun& run, double sign);

// Whether the shores about the deepest place hardly stand out: as where the surface, seen flat from
// near its height, mirrors the wall. Its depth is then guessed from either side.
bool deepest_is_faint(const WaterRun& run, double deepest_m);

// Whether the deepest place was seen so flat that the surface mirrors the wall: its shores lie
// nearly beside the lens, it is hardly darker than the wall far ahead, and they do not stand out.
// What is followed then is a place further in, and the depth so told is too shallow.
bool deepest_is_mirrored(const WaterRun& run, double deepest_m);

}  // namespace sondeline
