// Whether a run may be drawn, and on what its direction rests.
#pragma once

#include "alignment/network.hpp"

namespace sondeline::alignment {

// A position further off than this (one standard deviation) is not drawn.
inline constexpr double worst_drawn_sd_m = 2.0;

struct Standing {
    Placement placement = Placement::unplaced;
    Withheld why;  // read unless the run is drawn
};

// Standing of every run of the network, and which nodes have a position that can be published.
struct Standings {
    std::vector<Standing> runs;    // as NetworkData::runs
    std::vector<bool> node_known;  // as NetworkData::nodes
};

// `worst_sd_m` is that of each run's line. A run is placed when two positioned points of it (fixes,
// structures known without it) lie further apart than three standard deviations of their distance,
// or one and a start heading; what it reaches is then known to others.
Standings standings_of(const NetworkData& data, const Network& network, const Linearised& at,
                       const std::vector<double>& worst_sd_m);

// Long half axis of the error ellipse, one standard deviation.
double long_axis_m(const Eigen::Matrix2d& covariance_m2);

}  // namespace sondeline::alignment
