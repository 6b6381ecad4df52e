#include "grade/ponding.hpp"

#include <algorithm>
#include <cmath>

#include "grade/vertical_model.hpp"

namespace sondeline::grade {

namespace {

constexpr int kShapeSteps = 400;

Eigen::VectorXd water_line(const Eigen::VectorXd& z_m, bool leaves_at_end) {
    Eigen::VectorXd line = z_m;
    const Eigen::Index n = z_m.size();
    for (Eigen::Index k = 1; k < n; ++k) {
        const Eigen::Index i = leaves_at_end ? n - 1 - k : k;
        const Eigen::Index below = leaves_at_end ? i + 1 : i - 1;
        line(i) = std::max(line(i), line(below));
    }
    return line;
}

// Share of the greatest depth at u from −1 (one shore) to 1 (the other).
double shape_depth(BellyShape shape, double u) {
    switch (shape) {
        case BellyShape::v_shaped: return 1.0 - std::abs(u);
        case BellyShape::parabolic: return 1.0 - u * u;
        case BellyShape::flat: return 1.0;
    }
    return 0.0;
}

}  // namespace

Eigen::VectorXd ponded_depth_m(const Eigen::VectorXd& z_m, Downstream downstream) {
    switch (downstream) {
        case Downstream::at_end: return water_line(z_m, true) - z_m;
        case Downstream::at_start: return water_line(z_m, false) - z_m;
        case Downstream::either:
            return water_line(z_m, true).cwiseMin(water_line(z_m, false)) - z_m;
    }
    return Eigen::VectorXd::Zero(z_m.size());
}

double ponded_volume_l(const Eigen::VectorXd& depth_m, const Span& span, Bore bore,
                       double spacing_m) {
    double litres = 0.0;
    for (Eigen::Index i = span.first; i < span.last; ++i) {
        if (depth_m(i) <= 0.0 && depth_m(i + 1) <= 0.0) continue;
        litres += volume_l(bore, {spacing_m, depth_m(i), depth_m(i + 1)});
    }
    return litres;
}

double belly_volume_l(Bore bore, const BellyWater& water, BellyShape shape) {
    const double piece_m = water.length_m / kShapeSteps;
    double litres = 0.0;
    for (int k = 0; k < kShapeSteps; ++k) {
        const double u0 = -1.0 + 2.0 * k / kShapeSteps;
        const double u1 = -1.0 + 2.0 * (k + 1) / kShapeSteps;
        litres += volume_l(bore, {piece_m, water.deepest_m * shape_depth(shape, u0),
                                  water.deepest_m * shape_depth(shape, u1)});
    }
    return litres;
}

double dip_ponding_m(const Dip& dip) {
    const Trend sag{TrendKind::sag, dip.width_m / 2.0, dip.width_m, kSagSd_m};
    Eigen::VectorXd z(kShapeSteps + 1);
    for (int i = 0; i <= kShapeSteps; ++i) {
        const double x = dip.width_m * i / kShapeSteps;
        z(i) = dip.depth_m * trend_at(sag, x) - std::abs(dip.slope) * x;
    }
    return ponded_depth_m(z, Downstream::at_end).maxCoeff();
}

}  // namespace sondeline::grade
