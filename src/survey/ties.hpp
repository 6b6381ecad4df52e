// Swing ties: positions of structures from taped distances to known marks.
#pragma once

#include "survey/levelling.hpp"
#include "survey/local_frame.hpp"

namespace sondeline {

// One taped distance, in the plane of the map.
struct TapedDistance {
    PlanPoint from;
    PlanCovariance from_cov;
    double distance_m = 0.0;
    double sd_m = 0.01;
};

enum class TieOutcome { solved, ambiguous, do_not_meet, does_not_fit, too_few };

struct TiePosition {
    TieOutcome outcome = TieOutcome::too_few;
    PlanFix position;    // when solved
    double gap_m = 0.0;  // by how much two tapes miss each other
};

// Two tapes meet in two places; `side` or a rough position chooses. From three on: Gauss-Newton
// from the best pair with a χ² test at 1 %.
//   x = (ℓ² + d₁² − d₂²)/2ℓ, h² = d₁² − x², P = R₁ + x·e ± h·n, n to the left of R₁→R₂
// (distance-distance intersection, Ghilani & Wolf, Elementary Surveying, coordinate geometry).
TiePosition position_from_ties(const std::vector<TapedDistance>& tapes, TieSide side,
                               const std::optional<PlanFix>& rough);

// A tape held from ground to ground is longer than the way on the map where the ground rises:
// level² = taped² − rise² (reduction of slope distances, Ghilani & Wolf, Elementary Surveying,
// distance measurement). The rise's own error σ adds (rise/level)²·σ² to the variance. Unchanged
// when the rise exceeds half of the tape: then it was hardly taped along the ground.
Estimate level_distance_m(const Estimate& taped_m, const Estimate& rise_m);

// Where a structure would lie were one of its two tapes misread by a whole foot (metre).
struct TapeSlip {
    int reference = -1;  // index into Site::structures
    double taped_m = 0.0;
    double meant_m = 0.0;
    PlanPoint at;
};

// Two tapes always meet somewhere, so that a slip in one of them shows nowhere among the tapes.
struct UncheckedTapes {
    int structure = -1;     // index into Site::structures
    double moves_by = 0.0;  // the place, for one length that a tape is off by
    std::vector<TapeSlip> slips;
};

// The structures of a surveyed site that hold on two tapes and nothing else.
std::vector<UncheckedTapes> unchecked_tapes(const Site& site);

// Fills in the position of structures that ties reach, and lists every usable tie. Tapes between
// marks whose ground is known from the tables or `levels` are reduced for its rise. `unit` is that
// of the words, and of whole slips.
void apply_ties(const Job& job, const SiteFrame& frame, const LevelNet& levels, LengthUnit unit,
                std::vector<SiteStructure>& structures, std::vector<TieObservation>& observations,
                Findings& findings);

}  // namespace sondeline
