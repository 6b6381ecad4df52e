// Where the head was at every moment of a run's footage, thinned to what a drawing needs.
#pragma once

#include "sondeline/deliverables.hpp"

namespace sondeline {

struct MotionPoint {
    double time_s = 0.0;  // from the start of the run's first clip, clips laid end to end
    double station_m = 0.0;
    bool after_gap = false;  // nothing was read between the point before and this one
};

struct MotionClip {
    std::string name;
    double start_s = 0.0;
    double duration_s = 0.0;
    const Track* track = nullptr;
};

struct RunMotion {
    std::vector<MotionClip> clips;
    std::vector<MotionPoint> points;  // straight between them, to within half a step of the counter
    double end_s = 0.0;
    // False: the start of the run is not known, and stations count from the first reading.
    bool from_start = false;
};

// Empty without a reading. Readings more than half a second apart have a gap between them.
RunMotion run_motion(const AsBuilt& as_built, std::size_t run);

// The station at a time; empty in a gap and outside the readings.
std::optional<double> station_at(const RunMotion& motion, double time_s);

// When the head was first at a station: in the middle of the first stop there, else on the way.
// Empty when it never came within `near_m`.
std::optional<double> time_at(const RunMotion& motion, double station_m, double near_m);

}  // namespace sondeline
