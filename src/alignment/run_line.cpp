#include "alignment/run_line.hpp"

#include <algorithm>
#include <cmath>

namespace sondeline::alignment {
namespace {

constexpr double heading_window_m = 0.15;  // to either side

Eigen::Vector2d direction_of(double heading_rad) {
    return {std::sin(heading_rad), std::cos(heading_rad)};
}

}  // namespace

double share_after_turn(double x_m, double turn_x_m) {
    return std::clamp((x_m + heading_window_m - turn_x_m) / (2.0 * heading_window_m), 0.0, 1.0);
}

RunLine::RunLine(const RunModel& model, const RunPlace& place)
    : columns_(columns_of(model)),
      start_m_(place.from_m + model.port_m),
      scale_(place.plan_factor * std::exp(place.reel_scale + model.own_scale)),
      receiver_offset_m_(place.offset_m.value_or(Eigen::Vector2d::Zero())) {
    if (place.offset_m) columns_.shared = Columns::most_shared;
    pieces_.reserve(1 + columns_.joints + columns_.bends);
    pieces_.push_back({});
    for (int j = 0; j < columns_.joints; ++j) {
        pieces_.push_back({.x_m = (j + 1) * model.joint_spacing_m,
                           .turn_rad = model.joints_rad[j],
                           .turn_column = columns_.joint(j)});
    }
    for (int k = 0; k < columns_.bends; ++k) {
        const BendUnknown& bend = model.bends[k];
        pieces_.push_back({.x_m = bend.x_m,
                           .turn_rad = bend.angle_rad,
                           .slip_m = bend.slip_m,
                           .turn_column = columns_.bend_angle(k),
                           .is_bend = true});
    }
    std::stable_sort(pieces_.begin() + 1, pieces_.end(),
                     [](const Piece& a, const Piece& b) { return a.x_m < b.x_m; });
    pieces_[0].heading_rad = model.heading0_rad;
    pieces_[0].direction = direction_of(model.heading0_rad);
    for (std::size_t i = 1; i < pieces_.size(); ++i) {
        const Piece& last = pieces_[i - 1];
        Piece& piece = pieces_[i];
        piece.heading_rad = last.heading_rad + piece.turn_rad;
        piece.direction = direction_of(piece.heading_rad);
        piece.slips_m = last.slips_m + piece.slip_m;
        piece.q_before = last.q_before + (piece.x_m - last.x_m - last.slip_m) * last.direction;
    }
}

std::size_t RunLine::piece_at(double x_m) const {
    std::size_t i = pieces_.size() - 1;
    while (i > 0 && pieces_[i].x_m >= x_m) --i;
    return i;
}

Eigen::Vector2d RunLine::offset(double x_m) const {
    const Piece& piece = pieces_[piece_at(x_m)];
    return piece.q_before + (x_m - piece.x_m - piece.slip_m) * piece.direction;
}

Eigen::Vector2d RunLine::at(double x_m) const {
    return start_m_ + scale_ * offset(x_m);
}

double RunLine::heading_rad(double x_m) const {
    return pieces_[piece_at(x_m)].heading_rad;
}

double RunLine::without_slip_m(double x_m) const {
    return x_m - pieces_[piece_at(x_m)].slips_m;
}

double RunLine::mean_heading_rad(double x_m) const {
    double heading = pieces_[0].heading_rad;
    for (std::size_t i = 1; i < pieces_.size(); ++i) {
        heading += pieces_[i].turn_rad * share_after_turn(x_m, pieces_[i].x_m);
    }
    return heading;
}

void RunLine::derivative(double x_m, Eigen::Ref<Eigen::VectorXd> east,
                         Eigen::Ref<Eigen::VectorXd> north) const {
    const Eigen::Vector2d q = offset(x_m);
    east.setZero();
    north.setZero();
    east(Columns::port) = east(columns_.from()) = 1.0;
    north(Columns::port + 1) = north(columns_.from() + 1) = 1.0;
    east(Columns::heading0) = scale_ * q.y();
    north(Columns::heading0) = -scale_ * q.x();
    east(Columns::own_scale) = east(columns_.reel_scale()) = scale_ * q.x();
    north(Columns::own_scale) = north(columns_.reel_scale()) = scale_ * q.y();
    for (std::size_t i = 1; i < pieces_.size() && pieces_[i].x_m < x_m; ++i) {
        const Piece& piece = pieces_[i];
        const Eigen::Vector2d swung = scale_ * (q - piece.q_before);
        east(piece.turn_column) = swung.y();
        north(piece.turn_column) = -swung.x();
        if (!piece.is_bend) continue;
        const Eigen::Vector2d before = pieces_[i - 1].direction;
        east(piece.turn_column - 1) = scale_ * (before.x() - piece.direction.x());
        north(piece.turn_column - 1) = scale_ * (before.y() - piece.direction.y());
        east(piece.turn_column + 1) = -scale_ * piece.direction.x();
        north(piece.turn_column + 1) = -scale_ * piece.direction.y();
    }
}

void RunLine::mean_heading_derivative(double x_m, Eigen::Ref<Eigen::VectorXd> column) const {
    column.setZero();
    column(Columns::heading0) = 1.0;
    for (std::size_t i = 1; i < pieces_.size(); ++i) {
        const Piece& piece = pieces_[i];
        const double share = share_after_turn(x_m, piece.x_m);
        column(piece.turn_column) = share;
        if (piece.is_bend && share > 0.0 && share < 1.0) {
            column(piece.turn_column - 1) = -piece.turn_rad / (2.0 * heading_window_m);
        }
    }
}

}  // namespace sondeline::alignment
