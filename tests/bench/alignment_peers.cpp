#include "bench/alignment_peers.hpp"

#include <algorithm>

#include <Eigen/LU>

namespace sondeline::bench {
namespace {

std::vector<Knot> knots_of(const Site& site, std::size_t r) {
    const SiteRun& run = site.runs[r];
    std::vector<Knot> knots;
    const auto structure = [&](std::optional<int> index, double x) {
        if (index && site.structures[*index].surveyed) {
            knots.push_back({x, site.structures[*index].surveyed->at});
        }
    };
    structure(run.from, 0.0);
    for (const SiteFix& fix : site.fixes) {
        if (fix.run == static_cast<int>(r)) knots.push_back({fix.x_m, fix.position->at});
    }
    structure(run.to, *run.counter_length_m);
    std::stable_sort(knots.begin(), knots.end(),
                     [](const Knot& a, const Knot& b) { return a.x_m < b.x_m; });
    const auto same = [](const Knot& a, const Knot& b) { return b.x_m - a.x_m < 0.05; };
    knots.erase(std::unique(knots.begin(), knots.end(), same), knots.end());
    return knots;
}

// Second derivatives of the natural cubic spline at its knots, for one coordinate.
Eigen::VectorXd spline_curvature(const std::vector<Knot>& knots, double PlanPoint::*part) {
    const auto n = static_cast<Eigen::Index>(knots.size());
    Eigen::MatrixXd a = Eigen::MatrixXd::Identity(n, n);
    Eigen::VectorXd b = Eigen::VectorXd::Zero(n);
    for (Eigen::Index i = 1; i + 1 < n; ++i) {
        const double h0 = knots[i].x_m - knots[i - 1].x_m;
        const double h1 = knots[i + 1].x_m - knots[i].x_m;
        a(i, i - 1) = h0 / 6.0;
        a(i, i) = (h0 + h1) / 3.0;
        a(i, i + 1) = h1 / 6.0;
        b(i) = (knots[i + 1].at.*part - knots[i].at.*part) / h1 -
               (knots[i].at.*part - knots[i - 1].at.*part) / h0;
    }
    return a.partialPivLu().solve(b);
}

double between(const std::vector<Knot>& knots, std::size_t i, double x, double PlanPoint::*part,
               const Eigen::VectorXd& curvature) {
    const double h = knots[i].x_m - knots[i - 1].x_m;
    const double a = (knots[i].x_m - x) / h;
    const double b = 1.0 - a;
    const auto k = static_cast<Eigen::Index>(i);
    return a * knots[i - 1].at.*part + b * knots[i].at.*part +
           ((a * a * a - a) * curvature(k - 1) + (b * b * b - b) * curvature(k)) * h * h / 6.0;
}

}  // namespace

Peers::Peers(const Site& site, std::size_t run)
    : knots_(knots_of(site, run)),
      flat_(Eigen::VectorXd::Zero(static_cast<Eigen::Index>(knots_.size()))),
      curved_e_(spline_curvature(knots_, &PlanPoint::e_m)),
      curved_n_(spline_curvature(knots_, &PlanPoint::n_m)) {}

std::optional<PlanPoint> Peers::straight_at(double x_m) const {
    return read(x_m, flat_, flat_);
}

std::optional<PlanPoint> Peers::spline_at(double x_m) const {
    return read(x_m, curved_e_, curved_n_);
}

std::optional<PlanPoint> Peers::read(double x_m, const Eigen::VectorXd& e,
                                     const Eigen::VectorXd& n) const {
    const auto next = std::find_if(knots_.begin(), knots_.end(),
                                   [&](const Knot& knot) { return knot.x_m > x_m; });
    if (next == knots_.begin() || next == knots_.end()) return std::nullopt;
    const auto i = static_cast<std::size_t>(next - knots_.begin());
    return PlanPoint{between(knots_, i, x_m, &PlanPoint::e_m, e),
                     between(knots_, i, x_m, &PlanPoint::n_m, n)};
}

}  // namespace sondeline::bench
