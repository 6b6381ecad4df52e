// The one frame that a site is worked out in.
#pragma once

#include "survey/map_projection.hpp"

namespace sondeline {

// The frame and what is needed to bring typed positions and headings into it.
struct SiteFrame {
    LocalFrame frame;
    std::optional<MapProjection> projection;        // of frame.crs; empty: local
    std::optional<MapProjection> typed_projection;  // of x, y as typed, when that is another one
    bool plane_has_no_system = false;  // x, y cannot be linked to the positions in degrees
    // What to add to a heading of the job to get a grid heading; empty: it cannot be known.
    std::optional<double> grid_from_job_rad;
};

// True when heights are above an assumed benchmark, false above the sea.
bool heights_are_local(const JobSettings& settings);

// Map distance per distance on the ellipsoid becomes map distance per distance on the ground at a
// height above it: R/(R + h), R = 6 372 000 m (elevation factor, NOAA Manual NOS NGS 5, State Plane
// Coordinate System of 1983, with its mean radius 20 906 000 ft; from memory). The geoid's height
// above the ellipsoid is left out: 30 m of it make 5 mm in a kilometre.
double elevation_factor(double height_m);

// Chooses the coordinate system of the map: the job's, else the UTM zone of the positions with lon
// and lat, else a local one. The origin is the first position, so that nothing is ever worked out
// on raw projected coordinates.
SiteFrame choose_frame(const Job& job, Findings& findings);

// A typed position in the frame; empty, with a finding, when it cannot be brought there.
std::optional<PlanPoint> local_from_typed(const SiteFrame& site, const TypedPosition& typed,
                                          Findings& findings);

}  // namespace sondeline
