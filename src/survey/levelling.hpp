// Differential levelling: readings on a rod from setups of the level become elevations.
#pragma once

#include <map>
#include <string>

#include "sondeline/survey.hpp"

namespace sondeline {

struct LevelledPoint {
    Estimate elevation_m;
    int readings = 0;
    bool benchmark = false;
};

struct LevelNet {
    std::map<std::string, LevelledPoint> points;  // only those tied to a benchmark
    std::optional<double> closure_m;              // of a single loop or line between benchmarks
    int setups = 0;
    int redundant = 0;        // readings beyond those needed
    double square_sum = 0.0;  // of residual over its sd
};

struct LevelOptions {
    double reading_sd_m = 0.002;
    double benchmark_sd_m = 0.0005;
    double assumed_elevation_m = 30.48;  // of the first point when no benchmark is given (100 ft)
};

// Least squares over height of instrument and elevation of every point: H − z = reading (adjustment
// by elevations, Ghilani & Wolf, Elementary Surveying, chapter on least squares). For a single loop
// this spreads the closure over the setups. Points without a path to a benchmark are left out with
// a finding; without any benchmark the first point gets `assumed_elevation_m`, with a finding.
LevelNet adjust_levels(const std::vector<LevelReading>& readings, const LevelOptions& options,
                       Findings& findings);

}  // namespace sondeline
