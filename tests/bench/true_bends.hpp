// Whether a wrong number of bends is the search's fault: the true bends, fitted to the same
// observations, against those that were chosen.
#pragma once

#include "alignment/run_model.hpp"
#include "made/random_jobs.hpp"

namespace sondeline::bench {

alignment::RunModel true_model(const made::TruePipe& pipe, double x_end_m);

// Scores (score.hpp; lower is better) of one run with the rest of the job as adjusted.
struct BendScores {
    std::size_t run = 0;  // index into Site::runs
    double chosen = 0.0;
    double truth = 0.0;  // the best that begins at the true bends and moves downhill
    std::size_t chosen_bends = 0;
};

// Of every run with fixes. `job` must follow the adjustment's own idea of a pipe.
std::vector<BendScores> bend_scores(const made::RandomJob& job);

}  // namespace sondeline::bench
