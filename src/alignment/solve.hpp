// Levenberg–Marquardt on the normal matrix of one or many runs.
//
// Runs meet only in what they share (positions of structures, scales of reels), so the normal
// matrix is a dense block per run bordered by the shared unknowns. Each run's own unknowns are
// eliminated (Schur complement), the small shared system is solved, and the runs follow by
// substitution: the same numbers as factorising the whole, at the cost of its parts.
#pragma once

#include <array>

#include "alignment/linearise.hpp"
#include "alignment/residuals/tie.hpp"

namespace sondeline::alignment {

// What is known of the shared unknowns besides the runs of the problem: a normal distribution, and
// tapes between structures. A tie's node n stands at shared entries 2n and 2n + 1.
struct SharedTerms {
    Eigen::VectorXd mean;
    Eigen::MatrixXd information;  // may be singular where the runs determine the rest
    std::vector<TieTerm> ties;
};

// Where a run's shared columns (from e, n; to e, n; reel; offset e, n) stand among the shared
// unknowns.
using SharedIndex = std::array<int, Columns::most_shared>;

// Of a run that is a problem of its own.
inline constexpr SharedIndex alone_index{0, 1, 2, 3, 4, 5, 6};

struct Problem {
    std::vector<const RunData*> runs;
    std::vector<SharedIndex> shared_of_run;
    SharedTerms shared;
};

struct State {
    Eigen::VectorXd shared;
    std::vector<RunModel> runs;  // as Problem::runs
};

RunPlace place_of(const Problem& problem, const State& state, std::size_t run);

double total_cost(const Problem& problem, const State& state, const Losses& losses);

// The normal equations at a state; `shared_*` without the runs' parts.
struct Linearised {
    std::vector<RunBlock> runs;
    Eigen::MatrixXd shared_normal;
    Eigen::VectorXd shared_gradient;
    double cost = 0.0;
};
Linearised linearise(const Problem& problem, const State& state, const Losses& losses);

// About a run's shared unknowns.
using SharedMatrix = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::ColMajor,
                                   Columns::most_shared, Columns::most_shared>;
using SharedVector =
    Eigen::Matrix<double, Eigen::Dynamic, 1, Eigen::ColMajor, Columns::most_shared, 1>;

// A run's block with its own unknowns eliminated: information and gradient about the shared ones.
// Empty when the block is not positive definite.
struct Reduced {
    SharedMatrix normal;
    SharedVector gradient;
    Eigen::MatrixXd own_by_shared;  // own step = own_free − own_by_shared · shared step
    Eigen::VectorXd own_free;
};
std::optional<Reduced> reduce(const RunBlock& block, double damping);

struct StepLimits {
    int steps = 50;
    double least_gain = 1e-9;  // stop when a step lowers the cost by less
};

// Lowers the cost in place and returns it. Angles turn by at most 0.5 rad a step. Stops early when
// no step helps; the state is then the best seen.
double solve(const Problem& problem, State& state, const Losses& losses, const StepLimits& limits);

}  // namespace sondeline::alignment
