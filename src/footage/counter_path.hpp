// The most probable sequence of counter values, given soft evidence for the cells of each sample
// and how a reel moves.
//
// A hidden Markov model over values in ticks. From one sample to the next the counter holds, moves
// by steps up to the most that a head can be pushed or drawn in that time, is set to zero (rare) or
// to any other value (very rare). A sample may also show nothing readable: then all values fit it
// equally badly. Forward-backward over a pruned set of values gives, for each sample, the value of
// greatest posterior probability (Rabiner, "A tutorial on hidden Markov models", Proc. IEEE 77(2),
// 1989, section III.B, quoted from memory). It is run twice: the second time each step is expected
// to be about as large as the first run says that steps are within half a second of it.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "footage/counter_format.hpp"
#include "footage/reel_steps.hpp"

namespace sondeline {

struct PathOptions {
    // Share at which a cell's evidence counts: in full when it looks unlike it did in the sample
    // before, or when the value moves; at `old_share` when cell and value stay as they were.
    double new_share = 0.9;
    double old_share = 0.15;
    // Whether cells behind which no carry can have come count at their own share too when the value
    // moves: a digit that is misread in one sample is misread in all of them. Scores of layouts can
    // only be compared without it.
    bool kept_digits_count_once = false;
    // Nats: the most one cell can speak against a value, and the cost of a sample in which nothing
    // can be read, per cell.
    double most_per_cell = 9.0;
    double unreadable_per_cell = 2.5;
    double unreadable_probability = 0.01;  // per sample
    double zeroing_probability = 1e-5;     // per sample
    double jump_probability = 1e-9;
    int candidates = 16;  // values taken from each sample's own evidence
};

struct CounterPath {
    std::vector<PathValue> values;  // one per sample
    // Log-likelihood per sample over that of "nothing readable"; higher is better.
    double score = 0.0;
};

// `evidence` in time order. Empty evidence or a shape without layouts gives an empty path. Memory
// beyond the result: about the square root of the number of samples.
CounterPath decode_path(const CounterShape& shape, std::span<const LineEvidence> evidence,
                        const ReelMotion& motion, const PathOptions& options = {});

}  // namespace sondeline
