#include <algorithm>
#include <cmath>

#include <Eigen/Cholesky>

#include "grade/screening.hpp"

namespace sondeline::grade {

namespace {

constexpr double kDropAbove = 3.7;
constexpr double kReadmitBelow = 3.33;
constexpr int kScatterRounds = 4;
constexpr int kPasses = 2;
// How far depths scatter is sought under less wander, as that would take the scatter for the
// pipe's.
constexpr double kScatterWander_m = 0.05;

using Index = Eigen::Index;

// Q and Qy when the dropped rows count for nothing: Q − Q_D (Q_DD)⁻¹ Q_Dᵀ.
struct Reduced {
    Eigen::VectorXd qy;
    Eigen::VectorXd q_diagonal;
    Eigen::VectorXd dropped_t;  // of each dropped row against the rows in use
};

Reduced without(const VerticalModel& model, const std::vector<Index>& dropped) {
    const auto d = static_cast<Index>(dropped.size());
    Reduced reduced{model.qy, model.q.diagonal(), Eigen::VectorXd(d)};
    if (d == 0) return reduced;
    const Eigen::MatrixXd q_d = model.q(Eigen::all, dropped);
    const Eigen::MatrixXd block = q_d(dropped, Eigen::all);
    const Eigen::MatrixXd inverse = block.llt().solve(Eigen::MatrixXd::Identity(d, d));
    const Eigen::VectorXd solved = inverse * model.qy(dropped);
    reduced.qy -= q_d * solved;
    reduced.q_diagonal -= (q_d * inverse).cwiseProduct(q_d).rowwise().sum();
    // With one dropped row back in, its Q and Qy are 1/(Q_DD⁻¹)_ii and solved_i of that.
    reduced.dropped_t = solved.array() / inverse.diagonal().array().sqrt();
    return reduced;
}

bool is_dropped(const std::vector<Index>& dropped, Index row) {
    return std::ranges::find(dropped, row) != dropped.end();
}

struct Largest {
    Index row = -1;
    double t = 0.0;
};

Largest largest(const std::vector<Row>& rows, const Reduced& reduced,
                const std::vector<Index>& dropped) {
    Largest found;
    for (Index i = 0; i < reduced.qy.size(); ++i) {
        const Row& row = rows[static_cast<std::size_t>(i)];
        if (is_water(row) || is_dropped(dropped, i) || reduced.q_diagonal(i) <= 0.0) continue;
        const double t = std::abs(reduced.qy(i)) / std::sqrt(reduced.q_diagonal(i));
        if (t > found.t) found = {i, t};
    }
    return found;
}

void readmit(const VerticalModel& model, std::vector<Index>& dropped) {
    while (!dropped.empty()) {
        const Eigen::VectorXd t = without(model, dropped).dropped_t.cwiseAbs();
        Index best = 0;
        if (t.minCoeff(&best) >= kReadmitBelow) return;
        dropped.erase(dropped.begin() + best);
    }
}

struct Dropped {
    std::vector<Index> rows;
    std::vector<Index> tapes_at_odds;
};

Dropped find_outliers(const std::vector<Row>& rows, const VerticalModel& model) {
    Dropped out;
    // A third of the depths, and a third of the pieces of a level.
    const auto count = [&](bool logs) {
        return std::ranges::count_if(
            rows, [&](const Row& row) { return may_be_outlier(row) && is_level_log(row) == logs; });
    };
    const std::ptrdiff_t most_logs = count(true) / 3;
    const std::ptrdiff_t most_depths = count(false) / 3;
    const auto dropped = [&](bool logs) {
        return std::ranges::count_if(out.rows, [&](Index i) {
            return is_level_log(rows[static_cast<std::size_t>(i)]) == logs;
        });
    };
    for (;;) {
        const Largest worst = largest(rows, without(model, out.rows), out.rows);
        if (worst.row < 0 || worst.t <= kDropAbove) break;
        const Row& row = rows[static_cast<std::size_t>(worst.row)];
        if (!may_be_outlier(row)) {
            out.tapes_at_odds.push_back(worst.row);
            break;
        }
        const bool log = is_level_log(row);
        if (dropped(log) >= (log ? most_logs : most_depths)) break;
        out.rows.push_back(worst.row);
    }
    readmit(model, out.rows);
    return out;
}

double find_scatter(const std::vector<Row>& rows, ModelInput input,
                    const std::vector<Trend>& trends) {
    input.rows = &rows;
    input.scatter = 1.0;
    input.wander_sd_m = kScatterWander_m;
    for (int round = 0; round < kScatterRounds; ++round) {
        const VerticalModel model = solve_model(input, trends);
        double squares = 0.0;
        double freedom = 0.0;
        for (std::size_t i = 0; i < rows.size(); ++i) {
            if (!scatters(rows[i])) continue;
            const auto k = static_cast<Index>(i);
            const double stated = rows[i].sd_m * rows[i].sd_m;
            const double residual_m = stated * input.scatter * model.qy(k);
            squares += residual_m * residual_m / stated;
            freedom += stated * input.scatter * model.q(k, k);
        }
        input.scatter = (kScatterFreedom + squares) / (kScatterFreedom + freedom);
    }
    return input.scatter;
}

}  // namespace

Screening screen_rows(const RunRows& run) {
    if (run.rows.empty()) return {};
    const std::vector<Trend> trends = plain_trends(run);
    ModelInput input{&run.rows, &run.ground, 1.0, kOutlierWander_m};
    Screening screening;
    for (int pass = 0; pass < kPasses; ++pass) {
        screening.used.clear();
        screening.rejected.clear();
        screening.tapes_at_odds.clear();
        const Dropped dropped = find_outliers(run.rows, solve_model(input, trends));
        for (std::size_t i = 0; i < run.rows.size(); ++i) {
            const bool out = is_dropped(dropped.rows, static_cast<Index>(i));
            (out ? screening.rejected : screening.used).push_back(run.rows[i]);
        }
        for (const Index i : dropped.tapes_at_odds) {
            screening.tapes_at_odds.push_back(run.rows[static_cast<std::size_t>(i)]);
        }
        screening.scatter = find_scatter(screening.used, input, trends);
        input.scatter = screening.scatter;
    }
    return screening;
}

}  // namespace sondeline::grade
