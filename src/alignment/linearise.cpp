#include "alignment/linearise.hpp"

#include <cmath>

#include "alignment/residuals/bend_turn.hpp"
#include "alignment/residuals/end_port.hpp"
#include "alignment/residuals/heading.hpp"
#include "alignment/residuals/position.hpp"
#include "alignment/residuals/prior.hpp"
#include "alignment/residuals/sparse_turn.hpp"
#include "alignment/residuals/start_heading.hpp"
#include "alignment/residuals/stick_scale.hpp"
#include "alignment/robust_loss.hpp"

namespace sondeline::alignment {
namespace {

Loss plain(double s, bool rejected) {
    if (rejected) return {.rho = 0.0, .weight = 0.0, .outlier_probability = 1.0};
    return {.rho = s, .weight = 1.0, .outlier_probability = 0.0};
}

Loss loss_of(const PositionDatum& datum, double s, FixLoss kind) {
    if (datum.held) return plain(s, false);
    switch (kind) {
        case FixLoss::cauchy: return cauchy(s, seeking_width_of(datum.sd_m));
        case FixLoss::mixture: return contaminated_position(s, tail_ratio_of(datum.sd_m));
        case FixLoss::plain: break;
    }
    return plain(s, datum.rejected);
}

Loss loss_of(const HeadingDatum& datum, double s, FixLoss kind) {
    switch (kind) {
        case FixLoss::cauchy: return cauchy(s);
        case FixLoss::mixture: return contaminated_heading(s, datum.sd_rad);
        case FixLoss::plain: break;
    }
    return plain(s, datum.rejected);
}

// Observed rows: `rows` holds one column per residual, `values` the residuals, both weighted.
struct Rows {
    Eigen::MatrixXd derivatives;
    Eigen::VectorXd values;
    int used = 0;
};

double add_positions(const RunData& data, const RunLine& line, FixLoss kind, Rows* rows) {
    double cost = 0.0;
    for (const PositionDatum& datum : data.positions) {
        const PositionResidual residual{datum};
        const Eigen::Vector2d r = residual.value(line);
        const Loss loss = loss_of(datum, r.squaredNorm(), kind);
        cost += loss.rho;
        if (rows == nullptr || loss.weight <= 0.0) continue;
        const double root = std::sqrt(loss.weight);
        residual.derivative(line, root, rows->derivatives.col(rows->used),
                            rows->derivatives.col(rows->used + 1));
        rows->values.segment<2>(rows->used) = root * r;
        rows->used += 2;
    }
    return cost;
}

double add_headings(const RunData& data, const RunLine& line, FixLoss kind, Rows* rows) {
    double cost = 0.0;
    for (const HeadingDatum& datum : data.headings) {
        const HeadingResidual residual{datum};
        const double r = residual.value(line);
        const Loss loss = loss_of(datum, r * r, kind);
        cost += loss.rho;
        if (rows == nullptr || loss.weight <= 0.0) continue;
        const double root = std::sqrt(loss.weight);
        residual.derivative(line, root, rows->derivatives.col(rows->used));
        rows->values(rows->used++) = root * r;
    }
    return cost;
}

double add_end_port(const RunData& data, const RunLine& line, const RunPlace& place, Rows* rows) {
    if (!data.to_node) return 0.0;
    const EndPortResidual residual{data};
    const Eigen::Vector2d r = residual.value(line, place);
    if (rows != nullptr) {
        residual.derivative(line, rows->derivatives.col(rows->used),
                            rows->derivatives.col(rows->used + 1));
        rows->values.segment<2>(rows->used) = r;
        rows->used += 2;
    }
    return r.squaredNorm();
}

double add_sticks(const RunData& data, const RunLine& line, const RunModel& model,
                  const RunPlace& place, Rows* rows) {
    if (!data.sticks) return 0.0;
    const StickScaleResidual residual{*data.sticks};
    const double r = residual.value(model.own_scale + place.reel_scale);
    if (rows != nullptr) {
        auto derivatives = rows->derivatives.col(rows->used);
        derivatives.setZero();
        derivatives(Columns::own_scale) = residual.derivative();
        derivatives(line.columns().reel_scale()) = residual.derivative();
        rows->values(rows->used++) = r;
    }
    return r * r;
}

// Adds cost, gradient and information of an unknown that stands alone.
template <class Term>
void add_alone(RunBlock& block, int column, const Term& term, double value) {
    block.gradient(column) += term.gradient(value);
    block.normal(column, column) += term.information();
}

double start_heading_cost(const RunData& data, const RunModel& model, RunBlock* block) {
    // A heading that nothing holds would leave the normal matrix singular; the spread of a heading
    // anywhere on the circle does not weigh against any that is observed.
    const double anywhere = 3.0 / (std::numbers::pi * std::numbers::pi);
    if (block != nullptr) block->normal(Columns::heading0, Columns::heading0) += anywhere;
    if (!data.start_heading) return 0.0;
    const StartHeadingResidual residual{*data.start_heading};
    const double r = residual.value(model);
    if (block != nullptr) {
        block->gradient(Columns::heading0) += residual.derivative() * r;
        block->normal(Columns::heading0, Columns::heading0) +=
            residual.derivative() * residual.derivative();
    }
    return r * r;
}

double bend_cost(const RunData& data, const BendUnknown& bend, int k, RunBlock* block) {
    const BendTurn angle{bend_angle_sd_rad};
    const PriorResidual slip{bend_slip_sd_m};
    double cost = angle.cost(bend.angle_rad) + slip.cost(bend.slip_m);
    if (bend.likely) cost += PriorResidual{bend.likely->sd_m}.cost(bend.x_m - bend.likely->x_m);
    if (block != nullptr) {
        const Columns& columns = block->columns;
        const int turn = columns.bend_angle(k);
        block->gradient(turn) += angle.gradient(bend.angle_rad);
        block->normal(turn, turn) += angle.information(bend.angle_rad);
        add_alone(*block, columns.bend_slip(k), slip, bend.slip_m);
        // Anywhere along the run, variance x_end²/12: spread without pull.
        block->normal(columns.bend_x(k), columns.bend_x(k)) += 12.0 / (data.x_end_m * data.x_end_m);
        if (bend.likely) {
            add_alone(*block, columns.bend_x(k), PriorResidual{bend.likely->sd_m},
                      bend.x_m - bend.likely->x_m);
        }
    }
    return cost;
}

double joint_cost(const RunModel& model, const Losses& losses, RunBlock* block) {
    const PriorResidual prior{model.joint_sd_rad};
    double cost = 0.0;
    for (std::size_t j = 0; j < model.joints_rad.size(); ++j) {
        const double turn = model.joints_rad[j];
        const int column = Columns{}.joint(static_cast<int>(j));
        if (losses.sparse_joint_rad) {
            const SparseTurn sparse{*losses.sparse_joint_rad};
            cost += sparse.cost(turn);
            if (block == nullptr) continue;
            block->gradient(column) += sparse.gradient(turn);
            block->normal(column, column) += sparse.information(turn);
        } else {
            cost += prior.cost(turn);
            if (block != nullptr) add_alone(*block, column, prior, turn);
        }
    }
    return cost;
}

double prior_cost(const RunData& data, const RunModel& model, const Losses& losses,
                  RunBlock* block) {
    const PriorResidual port{data.port_sd_from_m};
    const PriorResidual scale{own_scale_sd};
    double cost =
        port.cost(model.port_m.x()) + port.cost(model.port_m.y()) + scale.cost(model.own_scale);
    if (block != nullptr) {
        add_alone(*block, Columns::port, port, model.port_m.x());
        add_alone(*block, Columns::port + 1, port, model.port_m.y());
        add_alone(*block, Columns::own_scale, scale, model.own_scale);
    }
    cost += start_heading_cost(data, model, block);
    cost += joint_cost(model, losses, block);
    for (std::size_t k = 0; k < model.bends.size(); ++k) {
        cost += bend_cost(data, model.bends[k], static_cast<int>(k), block);
    }
    return cost;
}

}  // namespace

double run_cost(const RunData& data, const RunModel& model, const RunPlace& place,
                const Losses& losses) {
    const RunLine line(model, place);
    return add_positions(data, line, losses.fixes, nullptr) +
           add_headings(data, line, losses.fixes, nullptr) +
           add_end_port(data, line, place, nullptr) +
           add_sticks(data, line, model, place, nullptr) + prior_cost(data, model, losses, nullptr);
}

RunBlock linearise_run(const RunData& data, const RunModel& model, const RunPlace& place,
                       const Losses& losses) {
    const RunLine line(model, place);
    RunBlock block;
    block.columns = line.columns();
    const int n = block.columns.all();
    Rows rows;
    const auto most =
        static_cast<Eigen::Index>(2 * data.positions.size() + data.headings.size() + 3);
    rows.derivatives.resize(n, most);
    rows.values.resize(most);
    block.cost = add_positions(data, line, losses.fixes, &rows) +
                 add_headings(data, line, losses.fixes, &rows) +
                 add_end_port(data, line, place, &rows) +
                 add_sticks(data, line, model, place, &rows);
    const auto used = rows.derivatives.leftCols(rows.used);
    block.normal.setZero(n, n);
    block.normal.selfadjointView<Eigen::Lower>().rankUpdate(used);
    block.normal.triangularView<Eigen::StrictlyUpper>() = block.normal.transpose();
    block.gradient.noalias() = used * rows.values.head(rows.used);
    block.cost += prior_cost(data, model, losses, &block);
    return block;
}

FixState state_of(const PositionDatum& datum, const RunLine& line) {
    const double s = PositionResidual{datum}.value(line).squaredNorm();
    const Loss loss = contaminated_position(s, tail_ratio_of(datum.sd_m));
    return {s, loss.weight, loss.outlier_probability, loss.outlier_log_odds};
}

FixState state_of(const HeadingDatum& datum, const RunLine& line) {
    const double r = HeadingResidual{datum}.value(line);
    const Loss loss = contaminated_heading(r * r, datum.sd_rad);
    return {r * r, loss.weight, loss.outlier_probability, loss.outlier_log_odds};
}

}  // namespace sondeline::alignment
