// What the rival models of a run add to how far a structure may be off that the run helps to place.
#pragma once

#include "alignment/covariance.hpp"

namespace sondeline::alignment {

// Of models that put the structure at s_i with covariance C_i and have weights w_i, Σ w_i = 1, the
// chosen one first:
//   shift = Σ w_i·(s_i − s_0)    more = Σ w_i·(C_i − C_0 + (s_i − s_0)(s_i − s_0)ᵀ) − shift·shiftᵀ
// Metres and square metres. Runs that meet at one structure are taken one by one, each beside the
// chosen models of the others, so that what they add adds up; what one would take away is left.
struct StructureDoubt {
    Eigen::Vector2d shift_m = Eigen::Vector2d::Zero();
    Eigen::Matrix2d more_m2 = Eigen::Matrix2d::Zero();
};

struct EndDoubts {
    StructureDoubt start;
    StructureDoubt end;  // nothing where the run ends at no structure
};

// `spread` is that of the run, averaged over `pool`: what may hide in a stretch that ends at a
// structure which nothing else places moves that structure as well.
EndDoubts end_doubts(const LoneRun& lone, FixLoss loss, const std::vector<Candidate>& pool,
                     const Spread& spread);

}  // namespace sondeline::alignment
