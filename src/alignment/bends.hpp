// The search for the bends of one run: drop those the observations do not need, add those they do.
// All functions take a problem of one run, whose shared terms stand for the rest of the job.
#pragma once

#include "alignment/chain.hpp"

namespace sondeline::alignment {

inline constexpr std::size_t most_bends = 6;

// Drops one of the smallest bends or merges two near ones, while the score falls.
Candidate without_needless_bends(const Problem& problem, Candidate best, FixLoss loss);

// Adds a bend between fixes or at a likely place, while the score falls.
Candidate with_missing_bends(const Problem& problem, Candidate best, FixLoss loss);

// The whole search from nothing but a guess of the shared unknowns.
Candidate search_run(const Problem& problem, const State& guess, const KnownEnds& known);

// Stations where a bend may hide: the middle of each gap over 0.6 m between start, fixes and end.
std::vector<double> gap_middles_m(const RunData& data);

// Those where a bend could pay for itself: elsewhere even the first step towards one gains next to
// nothing.
std::vector<double> promising_gaps_m(const Problem& problem, const State& state);

// A copy with one bend more; `front` turns what precedes instead of what follows.
struct NewBend {
    double x_m = 0.0;
    double angle_rad = 0.0;
    bool front = false;
    std::optional<LikelyBend> likely = std::nullopt;
};
State with_bend(const State& state, const NewBend& bend, double x_end_m);

State without_bend(const State& state, std::size_t bend);

}  // namespace sondeline::alignment
