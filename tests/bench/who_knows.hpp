// What someone makes of an invented job who knows every bend of its pipes: how many there are and
// roughly where, though not exactly where nor by how much they turn. No adjustment can be expected
// to do better.
#pragma once

#include <optional>
#include <vector>

#include "made/random_jobs.hpp"

namespace sondeline::bench {

// The lines fitted to the positions that are right, at the nominal stations of each run.
std::vector<std::vector<PlanPoint>> lines_of_who_knows(const made::RandomJob& job,
                                                       const std::vector<std::vector<double>>& x_m);

// How ill each position fits what all other positions that are right say of it: −2 ln of its
// probability density per square metre (Laplace's approximation). As Site::fixes; empty for fixes
// without a position in the adjustment.
std::vector<std::optional<double>> misfits_of_who_knows(const made::RandomJob& job);

}  // namespace sondeline::bench
