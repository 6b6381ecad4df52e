// Runs whose counter did not show at their start what their stations count from.
#pragma once

#include "alignment/network.hpp"

namespace sondeline::alignment {

// A counter set to zero at the lid of a cleanout, a digit lost in what was written down for the
// start, or fixes noted with the counter of the next one move every place of a run along it. The
// adjustment then hides the surplus in bends that nobody laid, or stretches the pipe. A run is
// tried with all its places moved by
//
//   * how far after or before its start the footage begins;
//   * how much more or less the counter goes to its first believed position than the straight way
//     from its structure is long, from 0.3 m and three standard deviations on.
//
// Each is weighed (minus twice the logarithm of the evidence) against the run as it stands, with
// what is thought beforehand: of the former kind one start in two where it is in doubt and one in
// twenty where the footage begins as it may, of the latter one in a hundred, anywhere within 3 m.
// Where moved is the likelier, the run is not held to start at its structure,
// and its length is withheld: a finding says by how much, and what it would be then. Where neither
// is left with less than one in twenty, the bounds of the length reach both. A start in doubt that
// the positions bear out is one no longer.
//
// A structure whose survey is off makes several runs look slipped: starts that no other run meets
// are settled before positions are doubted, the others after that.
//
// `network` is that of `data`; both are changed.
enum class SettledStarts { no_other_run_meets, others_meet };
void settle_starts(const Site& site, SettledStarts which, NetworkData& data, Network& network);

}  // namespace sondeline::alignment
