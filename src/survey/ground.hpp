// Elevation of the ground at structures and fixes, from levels, given values or a terrain raster.
#pragma once

#include "survey/height_system.hpp"
#include "survey/levelling.hpp"

namespace sondeline {

// A raster of elevations in metres, read a few cells at a time.
class Terrain {
  public:
    // Empty, with a finding, when the file cannot be read or has no coordinate system.
    static std::optional<Terrain> open(const std::filesystem::path& file, const SiteFrame& frame,
                                       Findings& findings);

    // Bilinear between the four cells about the point; empty outside, or where a cell has no value.
    std::optional<double> elevation_m(PlanPoint point) const;

  private:
    struct Raster;
    std::shared_ptr<Raster> raster_;
};

// One source of ground elevation after the other: levels, given, terrain. A given value that
// differs from the levels by more than three standard deviations is reported, and the levels stand.
// Where heights of both kinds meet, those through a geoid model also carry the model's own error.
struct GroundSources {
    const LevelNet& levels;
    const std::optional<Terrain>& terrain;
    const SiteFrame& frame;
    const GivenHeights& given;
    LengthUnit unit = LengthUnit::metre;  // of findings
};
struct GroundAt {
    std::optional<Estimate> elevation_m;
    std::string source;  // "levelled", "given", "terrain", or empty
};
GroundAt ground_at(const GroundSources& sources, const std::string& id,
                   const MaybeCell<double>& given_m, std::optional<double> given_sd_m,
                   const std::optional<PlanPoint>& place, Findings& findings);

}  // namespace sondeline
