// What the counter of a run says of places along it: from a shown counter or a moment of the
// footage to metres from the start structure.
#pragma once

#include "sondeline/survey.hpp"

namespace sondeline {

// The counter of one run, with its unit and its start settled.
struct ReelReading {
    const JoinedTrack* track = nullptr;  // null: no footage
    std::optional<double> metres_per_count;
    double start = 0.0;  // continuous counter at the start structure
    bool start_assumed = false;
    double start_doubt_m = 0.0;  // how far after the start the footage begins, if elsewhere
    Figure<double> length_m;     // from the start to the furthest reading
};

ReelReading read_reel(const Run& run, const JoinedTrack* track, const JobSettings& settings,
                      Findings& findings);

// Metres from the start structure of a counter as shown; empty without a unit, and where the
// counter was set anew on the way and showed that figure at two places.
std::optional<double> x_of_counter(const ReelReading& reel, double counter);

// The same of a moment, counted through the run's clips one after the other. Empty where the
// counter was not read within a second.
std::optional<double> x_of_video_time(const ReelReading& reel, double time_s);

// A place that is not within the run nor just beyond its ends.
struct OutsideRun {
    std::string how_far;  // "12.3 ft beyond the end of the run"
    std::string what_to_do;
};

// Empty for a place of the run. One without a length is taken to have no end.
std::optional<OutsideRun> outside_run(const ReelReading& reel, double x_m, LengthUnit unit);

// Stretches of at least 2 s in which the head stood still, in time order.
struct StandStill {
    double x_m = 0.0;
    double seconds = 0.0;
};
std::vector<StandStill> stand_stills(const ReelReading& reel);

}  // namespace sondeline
