// Rival models of one run: with other bends, or believing other fixes, that explain nearly as much
// of what was observed as the chosen one does.
#pragma once

#include "alignment/network.hpp"

namespace sondeline::alignment {

// The chosen model first; then each bend dropped, each moved past the fix before or after it, one
// bend more in each gap, and bends aimed at fixes and structures that the line misses. Converged,
// no two alike.
std::vector<Candidate> rival_models(const LoneRun& lone, FixLoss loss);

// Adds to such a pool, for each position that the chosen model rejects, the best model that
// believes it: the search begins anew with that position taken for good.
void add_believers(const LoneRun& lone, FixLoss loss, std::vector<Candidate>& pool);

// The models of a pool, converged from where they stood now that the rest of the job has moved a
// little; `lone` has the chosen one, which comes first.
std::vector<Candidate> moved_along(const LoneRun& lone, FixLoss loss,
                                   const std::vector<Candidate>& pool);

// A rival of less weight moves nothing.
inline constexpr double least_weight = 2e-3;

// How probable each model of a pool is, adding up to 1; nil for one whose score is not finite.
std::vector<double> weights_of(const std::vector<Candidate>& pool);

// The stretch between the outermost things that hold the run.
struct ObservedStretch {
    double first_x_m = 0.0;
    double last_x_m = 0.0;
};
ObservedStretch observed_stretch(const LoneRun& lone, FixLoss loss);

}  // namespace sondeline::alignment
