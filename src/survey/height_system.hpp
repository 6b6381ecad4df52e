// From the heights that the ground in the tables counts from to those of the map, through PROJ.
#pragma once

#include "survey/local_frame.hpp"

namespace sondeline {

// A link between two systems of heights. It needs a model of the geoid where one of them counts
// from the ellipsoid: no network is used, and without the grid there is no link.
class HeightLink {
  public:
    struct Opened;

    // `from` and `to` are "ellipsoid" (of WGS 84) or the code of a system of heights, "EPSG:5703".
    static Opened open(const std::string& from, const std::string& to);

    // Metres above the second system of a height in metres above the first; empty outside the grid.
    std::optional<double> height_m(GeographicPoint at, double given_m) const;

    // "WGS 84 to EGM96 height (1)", at a place.
    std::string operation_at(GeographicPoint at) const;

    // How far the model is off (one standard deviation, the same all over one site), as its
    // publisher states; empty when not stated.
    std::optional<double> accuracy_at_m(GeographicPoint at) const;

  private:
    struct Handles;
    std::shared_ptr<Handles> handles_;
};

// The link, or in plain words why there is none.
struct HeightLink::Opened {
    std::optional<HeightLink> link;
    std::string why;
    std::string what_to_do;
};

// What is done with the ground heights of the tables.
struct GivenHeights {
    enum class Use { as_typed, linked, not_used };
    Use use = Use::as_typed;
    std::optional<HeightLink> link;
    std::optional<GeographicPoint> middle;  // of the site, for rows without a position
    double model_sd_m = 0.0;                // shared by all of them

    // A typed height in the map's system; empty when it cannot be known.
    std::optional<double> on_map_m(double typed_m,
                                   const std::optional<GeographicPoint>& place) const;
};

// By the job's `ground datum` and `vertical datum`. Says what was done, once.
GivenHeights given_heights(const Job& job, const SiteFrame& frame, Findings& findings);

// Longitude and latitude of a place of the frame; empty in a local one.
std::optional<GeographicPoint> geographic_of(const SiteFrame& frame, PlanPoint place);

}  // namespace sondeline
