// The two ways of drawing a pipe that need no adjustment: straight lines between the fixes in order
// of station, and a natural cubic spline through them.
#pragma once

#include <optional>
#include <vector>

#include <Eigen/Core>

#include "sondeline/survey.hpp"

namespace sondeline::bench {

struct Knot {
    double x_m = 0.0;
    PlanPoint at;
};

class Peers {
  public:
    // Of a run: its fixes as given, and its structures where they were surveyed.
    Peers(const Site& site, std::size_t run);

    // Empty outside the knots.
    std::optional<PlanPoint> straight_at(double x_m) const;
    std::optional<PlanPoint> spline_at(double x_m) const;

  private:
    std::optional<PlanPoint> read(double x_m, const Eigen::VectorXd& e,
                                  const Eigen::VectorXd& n) const;

    std::vector<Knot> knots_;
    Eigen::VectorXd flat_, curved_e_, curved_n_;  // second derivatives at the knots
};

}  // namespace sondeline::bench
