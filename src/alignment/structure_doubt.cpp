#include "alignment/structure_doubt.hpp"

#include <Eigen/Eigenvalues>

namespace sondeline::alignment {
namespace {

// A model of the run and what it makes of its unknowns.
struct Told {
    double weight = 0.0;
    Eigen::VectorXd shared;
    Eigen::MatrixXd covariance;  // of the shared unknowns
};

std::optional<Told> told_by(const LoneRun& lone, FixLoss loss, double weight) {
    const auto all = unknowns_covariance(lone, loss);
    if (!all) return std::nullopt;
    const Eigen::Index shared = lone.state.shared.size();
    return Told{weight, lone.state.shared, all->bottomRightCorner(shared, shared)};
}

// Runs add up: with what each takes away from the others' spread taken off, little might be left.
Eigen::Matrix2d positive_part(const Eigen::Matrix2d& m) {
    const Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d> axes(m);
    const Eigen::Vector2d kept = axes.eigenvalues().cwiseMax(0.0);
    return axes.eigenvectors() * kept.asDiagonal() * axes.eigenvectors().transpose();
}

// `at`: where the structure's position stands among the shared unknowns. The chosen model is first.
StructureDoubt doubt_at(const std::vector<Told>& told, Eigen::Index at) {
    StructureDoubt out;
    const Told& chosen = told.front();
    double sum = 0.0;
    for (const Told& model : told) {
        const Eigen::Vector2d off = model.shared.segment<2>(at) - chosen.shared.segment<2>(at);
        const Eigen::Matrix2d wider =
            model.covariance.block<2, 2>(at, at) - chosen.covariance.block<2, 2>(at, at);
        out.shift_m += model.weight * off;
        out.more_m2 += model.weight * (wider + off * off.transpose());
        sum += model.weight;
    }
    if (!(sum > 0.0)) return {};
    out.shift_m /= sum;
    out.more_m2 = positive_part(out.more_m2 / sum - out.shift_m * out.shift_m.transpose());
    return out;
}

}  // namespace

EndDoubts end_doubts(const LoneRun& lone, FixLoss loss, const std::vector<Candidate>& pool,
                     const Spread& spread) {
    EndDoubts out;
    const std::vector<double> weights = weights_of(pool);
    std::vector<Told> told;
    for (std::size_t i = 0; i < pool.size(); ++i) {
        if (i > 0 && weights[i] < least_weight) continue;
        // The chosen one as it is published, not as it stands when it judges its fixes anew.
        const LoneRun model{lone.problem, i == 0 ? lone.state : pool[i].state};
        std::optional<Told> of_model = told_by(model, loss, weights[i]);
        if (of_model) told.push_back(std::move(*of_model));
        if (told.empty()) return out;  // the chosen one tells nothing
    }
    out.start = doubt_at(told, 0);
    out.start.more_m2 += spread.blind_start_m2;
    if (!lone.problem.runs[0]->to_node) return out;
    out.end = doubt_at(told, 2);
    out.end.more_m2 += spread.blind_end_m2;
    return out;
}

}  // namespace sondeline::alignment
