// All runs of a job as one problem, tied together by structures and reels.
#pragma once

#include "alignment/bends.hpp"
#include "alignment/run_line.hpp"
#include "alignment/site_data.hpp"

namespace sondeline::alignment {

// The adjusted job. `problem` points into the NetworkData it was made from.
struct Network {
    Problem problem;
    State state;
};

// The line of a run as it stands.
RunLine line_of(const Network& network, std::size_t run);

// Whether another run starts or ends where this one starts.
bool others_meet_start(const NetworkData& data, std::size_t run);

// Shared entries of a node's position, of a reel's scale and of a receiver's offset.
int shared_of_node(int node);
int shared_of_reel(const NetworkData& data, int reel);
int shared_of_receiver(const NetworkData& data, int receiver);

// Solves the runs one after the other, breadth first from structures with positions, then all
// together, and reconsiders every run's bends in the light of the others.
Network adjust_network(const NetworkData& data);

// Goes over every run's bends again after accuracies changed.
void reconsider_bends(const NetworkData& data, Network& network);

// One last least squares without the rejected fixes.
void finish_plain(Network& network);

// Cost under the mixture: what rival hypotheses about the same observations are compared by.
double mixture_cost(const Network& network);

// The same with what each run's bends have to pay for (score.hpp).
double joint_score(const Network& network);

// The problem of one run alone: what all others and the survey say of its shared unknowns
// stands as a normal distribution, taken from the normal matrix without that run.
struct LoneRun {
    Problem problem;
    State state;
};
LoneRun lone_run(const Network& network, const Linearised& at, std::size_t run);

// Covariance of all shared unknowns; with `without`, as if that run had not been pushed.
Eigen::MatrixXd shared_covariance(const Network& network, const Linearised& at,
                                  std::optional<std::size_t> without = std::nullopt);

}  // namespace sondeline::alignment
