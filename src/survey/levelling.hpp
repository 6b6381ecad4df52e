// Differential levelling: readings on a rod from setups of the level become elevations.
#pragma once

#include <map>

#include "survey/level_loops.hpp"

namespace sondeline {

struct LevelledPoint {
    Estimate elevation_m;
    int readings = 0;
    bool benchmark = false;
};

// Two readings of a level book, by the names of their setups and points.
struct ExchangedSights {
    std::string setup1;
    std::string point1;
    std::string setup2;
    std::string point2;
};

struct LevelNet {
    std::map<std::string, LevelledPoint> points;  // only those tied to a benchmark
    std::vector<LevelLoop> loops;                 // of all readings, those left out included
    std::optional<double> closure_m;              // of the loop that closes worst for its length
    int setups = 0;
    int redundant = 0;        // readings beyond those needed, without those left out
    int left_out = 0;         // readings that contradict the others
    double square_sum = 0.0;  // of residual over its sd
    bool closes = true;       // false: the sd of every elevation is enlarged accordingly
    // What does not close would close with either pair of readings exchanged; in the book's order.
    std::vector<ExchangedSights> exchanged;
};

struct LevelOptions {
    double reading_sd_m = 0.002;
    double benchmark_sd_m = 0.0005;
    double assumed_elevation_m = 30.48;   // of the first point when no benchmark is given (100 ft)
    LengthUnit unit = LengthUnit::metre;  // of findings
};

// Least squares over height of instrument and elevation of every point: H − z = reading (adjustment
// by elevations, Ghilani & Wolf, Elementary Surveying, chapter on least squares). For a single loop
// this spreads the closure over the setups.
//
// Σ(residual/sd)² is held against χ² at 1 %. Beyond it a reading (or a benchmark) is left out, with
// a finding, when it alone explains the misfit: its residual over its own sd, w = v/(σ√r) with r
// its share of the redundancy, is beyond 3.29 and no other's is as large (data snooping, Baarda
// 1968, A Testing Procedure for Use in Geodetic Networks; limit at 0.1 %), and the rest then fits.
// Else everything stays, every sd grows by the misfit, and the finding names the loops, and the
// pairs of readings of one setup or of one point that, written down for each other, explain it all.
//
// Points without a path to a benchmark are left out with a finding; without any benchmark the first
// point gets `assumed_elevation_m`, with a finding. Over 1000 readings nothing is adjusted, with a
// finding.
LevelNet adjust_levels(const std::vector<LevelReading>& readings, const LevelOptions& options,
                       Findings& findings);

}  // namespace sondeline
