// Stretches that hold water, from the profile, from footage and from notes.
#pragma once

#include "grade/analysis.hpp"
#include "grade/shores.hpp"

namespace sondeline::grade {

// A stretch that ponds at least 1 cm in at least half of the samples.
struct Pond {
    double from_m = 0.0;
    double to_m = 0.0;
    Ends ends;                        // with how well they are known
    double probability = 0.0;         // share of samples that pond 1 cm anywhere in it
    Bounded depth_m;                  // deepest
    std::optional<Bounded> volume_l;  // empty: bore not known
    bool supported = false;           // two rows lie in or beside it, or still water does
};

// Empty for trenches, which have no downstream, and where z is no height. Needs samples.
std::vector<Pond> find_ponds(const Analysis& analysis, const Samples& samples,
                             const std::optional<double>& bore_m);

// Fills bellies: a pond with probability 0.8 that the data support, and every noted or seen water,
// which keeps its own extent. Ponds from 0.5 to 0.8 become findings.
void add_bellies(const AlignedRun& run, const Analysis& analysis, GradedRun& graded,
                 Findings& findings);

}  // namespace sondeline::grade
