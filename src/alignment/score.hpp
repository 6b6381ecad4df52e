// How probable a model is given the observations: minus twice the logarithm of its evidence
// (Laplace's approximation), up to a constant; lower is better. Bends must pay for themselves.
//
//   cost + Σ_runs [ ln det N_r + 2 Σ ln σ_ψ + 2K ln σ_τ + K(2 ln(σ_δ√(2π)) − 2 ln λ − 2 ln 2π + 2)
//                   − 2 Σ ln(p/((1 − p)·σ√(2π)·λ)) over bends at likely places ]
//
// N_r is the run's own block of the normal matrix, with each bend's station held to the room
// between its neighbours (a uniform spread, variance room²/12); λ the bends per metre of ordinary
// pipework, for which a bend's probability p within σ of it stands at a likely place. The +2 per
// bend is a margin against bends that only fit noise.
#pragma once

#include "alignment/solve.hpp"

namespace sondeline::alignment {

inline constexpr double bends_per_m = 0.1;  // common practice, no source

// The +2 above. A rule of decision, not of belief: models are weighed against each other without
// it.
inline constexpr double margin_per_bend = 2.0;

// The bracket above for one run. Infinite when the block is singular.
double model_terms(const RunBlock& block, const RunModel& model, double x_end_m);

double score_of(const Problem& problem, const State& state, const Losses& losses);

// A state brought to its nearest minimum, with its score there.
struct Candidate {
    State state;
    double score = 0.0;
};
// True when both are most probably the same minimum: as many bends and nearly the same score.
bool alike(const Candidate& a, const Candidate& b);

Candidate converged(const Problem& problem, State state, FixLoss loss);

// The same from further off: first under a loss that holds every fix, unless `loss` is plain.
Candidate settled(const Problem& problem, State state, FixLoss loss);

}  // namespace sondeline::alignment
