// The line in plan that a run's unknowns describe, and its derivatives in closed form.
//
//   q(x) = ∫₀ˣ u(θ) − Σ_{b<x} τ·u(θ just after b),   u(θ) = (sin θ, cos θ)
//   p(x) = S_from + ρ + k·e^(α+β)·q(x)
//
// Turning everything after station T by dψ swings q(x) − q(T) about T, so
//   ∂q/∂ψ = (Δn, −Δe) with (Δe, Δn) = q(x) − q(T);
//   ∂q/∂b = u_before − u_after and ∂q/∂τ = −u_after for x > b;  ∂p/∂α = ∂p/∂β = k·e^(α+β)·q.
// Before the start and beyond the end the line goes straight on.
#pragma once

#include <optional>
#include <vector>

#include <Eigen/Core>

#include "alignment/run_model.hpp"

namespace sondeline::alignment {

// What a run shares with others, and the factor from pipe length to plan length on the map.
struct RunPlace {
    Eigen::Vector2d from_m = Eigen::Vector2d::Zero();
    Eigen::Vector2d to_m = Eigen::Vector2d::Zero();  // read only by runs that end at a structure
    double reel_scale = 0.0;                         // α
    double plan_factor = 1.0;                        // k·√(1 − grade²)
    // Of the receiver's positions, seen less true; empty when it has none, and then no columns.
    std::optional<Eigen::Vector2d> offset_m = std::nullopt;
};

class RunLine {
  public:
    RunLine(const RunModel& model, const RunPlace& place);

    Eigen::Vector2d at(double x_m) const;
    double heading_rad(double x_m) const;

    // Mean heading over x ± 0.15 m, the length a locator looks at.
    double mean_heading_rad(double x_m) const;

    // Counter metres that the head really moved: x less the slips passed.
    double without_slip_m(double x_m) const;

    const Columns& columns() const { return columns_; }

    // What the receiver adds to positions that share its offset.
    const Eigen::Vector2d& receiver_offset_m() const { return receiver_offset_m_; }

    // Derivatives by all columns; each vector has columns().all() entries and is overwritten.
    void derivative(double x_m, Eigen::Ref<Eigen::VectorXd> east,
                    Eigen::Ref<Eigen::VectorXd> north) const;
    void mean_heading_derivative(double x_m, Eigen::Ref<Eigen::VectorXd> column) const;

  private:
    // A straight piece from x_m on; the first has no turn.
    struct Piece {
        double x_m = 0.0;
        double turn_rad = 0.0;
        double slip_m = 0.0;
        int turn_column = -1;
        bool is_bend = false;
        double heading_rad = 0.0;
        double slips_m = 0.0;  // up to and with this piece's
        Eigen::Vector2d direction = Eigen::Vector2d::Zero();
        Eigen::Vector2d q_before = Eigen::Vector2d::Zero();  // slip not yet taken off
    };

    std::size_t piece_at(double x_m) const;
    Eigen::Vector2d offset(double x_m) const;

    Columns columns_;
    std::vector<Piece> pieces_;
    Eigen::Vector2d start_m_;
    double scale_ = 1.0;
    Eigen::Vector2d receiver_offset_m_;
};

// Share of the window x ± 0.15 m that lies after station `turn_x_m`.
double share_after_turn(double x_m, double turn_x_m);

}  // namespace sondeline::alignment
