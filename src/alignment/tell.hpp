// Findings of the adjustment, in words a technician uses.
#pragma once

#include "alignment/accuracies.hpp"

namespace sondeline::alignment {

void tell_fixes(const Site& site, const Lines& lines, Findings& findings);
void tell_accuracies(const Site& site, const std::vector<AccuracyGroup>& groups,
                     Findings& findings);
// How far the positions of a receiver without a known point are off, as far as the job can tell.
void tell_receivers(const Site& site, const NetworkData& data, const Network& network,
                    const Eigen::MatrixXd& shared_covariance, Findings& findings);

void tell_placement(const Site& site, const Lines& lines, Findings& findings);

// Why no fix places a run: there is none, or none that could. A clause.
std::string no_fix_words(const Site& site, const RunId& run);

// Runs that end at a structure, as near as their bounds tell and a metre at most, without naming it
// under `to`.
void tell_unnamed_ends(const Site& site, const Lines& lines, Findings& findings);

// Runs that end off their structure, and structures moved off their survey.
void tell_misclosures(const Site& site, const NetworkData& data, const Network& network,
                      Findings& findings);

// Runs whose positions, or whose reel by other runs, contradict the typed length of their sticks.
void tell_sticks(const Site& site, const Lines& lines, Findings& findings);

}  // namespace sondeline::alignment
