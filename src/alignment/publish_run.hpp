// One adjusted run in the form the later stages take.
#pragma once

#include "alignment/placement.hpp"
#include "alignment/structure_doubt.hpp"

namespace sondeline::alignment {

// Where along a run its line is drawn: start, end, every bend, and between them at most 0.5 m
// apart.
struct DrawnStation {
    double x_m = 0.0;
    double station_m = 0.0;  // metres along the pipe
};
std::vector<DrawnStation> drawn_stations(const RunModel& model, double x_end_m, double scale);

// Everything adjusted about one run of the network.
struct AdjustedRun {
    LoneRun lone;
    std::vector<DrawnStation> stations;
    std::optional<Spread> spread;
    EndDoubts doubts;
    double worst_sd_m = 0.0;  // infinite when the spread is not known
};
// `pool` has the run's models as they were when its positions were judged.
AdjustedRun adjusted_run(const Network& network, const Linearised& at, std::size_t run,
                         const std::vector<Candidate>& pool);

// What reel and counter say where fixes say nothing.
struct ReelState {
    double log_scale = 0.0;
    double variance = 0.0;
};

// Whether positions pull the logarithms of a run's own scale and of its reel's further than reels
// and slip do. Such a run's length is as unsure as the two lengths differ.
bool strained_scale(double own, double reel);

// Whether all else contradicts a run's sticks by three standard deviations: by how much the
// logarithm of its scale, `scale`, would be more without them. Empty too where nothing else tells.
std::optional<double> sticks_contradicted(const SiteRun& run, const Estimate& scale);

// A run whose counter did not show at its start what was taken for it: it is drawn as far as its
// counter went, and no structure holds its start.
bool start_unknown(const AlignedRun& run);

// A run of the network; drawn when its standing allows it. One that is not has its length from the
// counter alone.
AlignedRun published(const Site& site, const RunData& data, const AdjustedRun& adjusted,
                     const Standing& standing, const ReelState& reel, bool both_ends_known);

// A run without fixes: a length if its counter gives one, nothing drawn.
AlignedRun published_length_only(const SiteRun& run, const ReelState& reel);

// Draws such a run straight between the known positions of its ends, as `inferred`.
struct EndPositions {
    PlanPoint from;
    PlanPoint to;
};
void draw_inferred(AlignedRun& run, const EndPositions& ends, const Site& site);

// The fitting a bend's angle points to, in words, when only one lies within two standard
// deviations: 1/16, 1/8, 1/6, 1/5 and 1/4 bends turn by 22.5, 45, 60, 72 and 90 degrees (ASTM A74).
std::string nearest_fitting(const Estimate& angle_rad);

}  // namespace sondeline::alignment
