// Places along a run as map geometry: z is the invert as `z_reference` says, m the station.
#pragma once

#include "sondeline/deliverables.hpp"

#include "deliverables/layer_table.hpp"

namespace sondeline {

// The invert at a station, interpolated in the profile; empty when there is none.
std::optional<Bounded> invert_at(const GradedRun& graded, double station_m);
std::optional<ProfilePoint> profile_at(const GradedRun& graded, double station_m);

// What z means in the geometry of this run: its z reference, or `none` when it has no profile.
ZReference z_reference_of(const GradedRun& graded);

// One vertex at a station; empty when the run is not drawn. z is 0 where there is no profile.
std::vector<Vertex> vertex_at(const AsBuilt& as_built, std::size_t run, double station_m);

// The run from one station to another with every vertex between; the whole run without stations.
std::vector<Vertex> line_between(const AsBuilt& as_built, std::size_t run, double from_m,
                                 double to_m);
std::vector<Vertex> whole_line(const AsBuilt& as_built, std::size_t run);

// The larger half-axis of the standard error ellipse, metres.
double worst_plan_sd_m(const PlanCovariance& cov);

// The shallowest sag that these data could have shown; null when they could have shown none.
const DetectionLimit* least_sag(const GradedRun& graded);

// Id of the structure at an end of a run; empty when none is named.
std::string structure_id(const Site& site, const std::optional<int>& index);

}  // namespace sondeline
