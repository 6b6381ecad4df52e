// What one taped invert that is off would make of a run.
#pragma once

#include <string>
#include <vector>

#include "grade/hypotheses.hpp"

namespace sondeline::grade {

// A tape is held to the top of the pipe, or to the wrong point of the rim, or written down wrong
// once in a hundred times, and is then off by 10 cm, one standard deviation, as is the ground that
// it hangs from where a rod was misread (common practice, no source).
inline constexpr double kTapeSlips = 0.01;
inline constexpr double kTapeSlipSd_m = 0.10;

bool may_slip(const Row& row);  // taped at a structure
Row as_slipped(Row tape);       // so unsure as one that is off

struct TapeSlip {
    std::size_t row = 0;       // index into the rows used
    double probability = 0.0;  // what is less than 1 in 200 counts as nothing
    Evidence evidence;         // with that tape off
    Estimate high_m;           // the invert as taped less what all else says of it
};

// What each tape of RunRows::tape_odds would make of the run if it were off. One weighing of the
// evidence for each.
std::vector<TapeSlip> weigh_tape_slips(const RunRows& run, const std::vector<Row>& used,
                                       double scatter);

// Names each tape that is off with a probability of one in ten or more. `bore_m` of the pipe, zero
// where it is not known.
void tell_tape_slips(const RunId& id, const RunRows& run, const std::vector<Row>& used,
                     const std::vector<TapeSlip>& slips, double bore_m, Findings& findings);

// "Tape the invert at box again …" where such a tape is among them, else empty.
std::string tape_again_words(const std::vector<Row>& used, const std::vector<TapeSlip>& slips);

// Whether a tape may be off by that much and the rest of the run not show it (within 3 standard
// deviations).
bool may_go_unseen(double slip_m, const std::vector<TapeSlip>& slips);

}  // namespace sondeline::grade
