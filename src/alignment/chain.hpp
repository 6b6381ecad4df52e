// Where to begin the search for a run's shape: a chain with a joint every metre is bent to the
// fixes, then made to gather its turning into few bends.
#pragma once

#include "alignment/score.hpp"

namespace sondeline::alignment {

// What is known of a run's ends before its shape is sought.
struct KnownEnds {
    bool start = false;  // the start structure has a position
    bool end = false;
};

// A chain after fitting: its turns as a list of bends and, for pipe laid along a curve, as they
// are.
struct ChainStart {
    State bends;
    State curve;  // joints of 3 m holding the chain's turns, no bends
    double cost = 0.0;
};

// Chains from several first headings and one laid along the fixes, best first. `guess` holds the
// shared unknowns to start from; its models are not read. `problem` has one run.
std::vector<ChainStart> fitted_chains(const Problem& problem, const State& guess,
                                      const KnownEnds& known);

// First headings worth trying, best first: towards fixes, towards the end structure, the start
// heading, and both ways along the lines that fixes saw.
std::vector<State> straight_starts(const Problem& problem, const State& guess,
                                   const KnownEnds& known);

}  // namespace sondeline::alignment
