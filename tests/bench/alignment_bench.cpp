// How well the adjustment finds invented pipes, and how honest its bounds are.
//
//   alignment_bench [jobs] [fix_sd_m] [fix_spacing_m]
//
// Without a fix accuracy the jobs take turns through 0.02, 0.05, 0.15, 0.3 and 0.5 m. Prints the
// error along the lines beside that of straight lines between fixes and of a natural cubic spline
// through them (by station, from the same fixes), how often 95 % bounds hold, outliers found, and
// time.
#include <chrono>
#include <cstdlib>
#include <ctime>
#include <map>

#include <Eigen/LU>
#include <fmt/format.h>

#include "sondeline/alignment.hpp"

#include "made/random_jobs.hpp"

namespace {

using namespace sondeline;

struct Share {
    double hits = 0.0;
    double all = 0.0;
    void count(bool hit) {
        hits += hit ? 1.0 : 0.0;
        all += 1.0;
    }
    double value() const { return all > 0.0 ? hits / all : 0.0; }
};

struct Squares {
    double sum = 0.0;
    double all = 0.0;
    void add(double square) {
        sum += square;
        all += 1.0;
    }
    double rms() const { return all > 0.0 ? std::sqrt(sum / all) : 0.0; }
};

struct Tally {
    Squares ours, straight, spline;
    Share position, end, across, length, bends, found, falsely, drawn, box;
};

struct Knot {
    double x_m = 0.0;
    PlanPoint at;
};

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

double square_apart(const PlanPoint& a, const PlanPoint& b) {
    return (a.e_m - b.e_m) * (a.e_m - b.e_m) + (a.n_m - b.n_m) * (a.n_m - b.n_m);
}

void tally_points(const Site& site, std::size_t r, const AlignedRun& run,
                  const made::TruePipe& pipe, Tally& tally) {
    const std::vector<Knot> knots = knots_of(site, r);
    const Eigen::VectorXd flat = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(knots.size()));
    const Eigen::VectorXd ce = spline_curvature(knots, &PlanPoint::e_m);
    const Eigen::VectorXd cn = spline_curvature(knots, &PlanPoint::n_m);
    for (const LinePoint& point : run.points) {
        const PlanPoint truth = pipe.at(pipe.s_at(point.x_m));
        const Eigen::Vector2d off(point.at.e_m - truth.e_m, point.at.n_m - truth.n_m);
        Eigen::Matrix2d c;
        c << point.cov.ee, point.cov.en, point.cov.en, point.cov.nn;
        const bool inside = off.dot(c.inverse() * off) <= ellipse_95 * ellipse_95;
        tally.position.count(inside);
        if (&point == &run.points.back()) tally.end.count(inside);
        const Eigen::Vector2d right(std::cos(point.heading_rad), -std::sin(point.heading_rad));
        tally.across.count(std::abs(off.dot(right)) <= normal_95 * std::sqrt(right.dot(c * right)));
        const auto next = std::find_if(knots.begin(), knots.end(),
                                       [&](const Knot& k) { return k.x_m > point.x_m; });
        if (next == knots.begin() || next == knots.end()) continue;
        const auto i = static_cast<std::size_t>(next - knots.begin());
        const auto read = [&](const Eigen::VectorXd& e, const Eigen::VectorXd& n) {
            return PlanPoint{between(knots, i, point.x_m, &PlanPoint::e_m, e),
                             between(knots, i, point.x_m, &PlanPoint::n_m, n)};
        };
        tally.ours.add(off.squaredNorm());
        tally.straight.add(square_apart(read(flat, flat), truth));
        tally.spline.add(square_apart(read(ce, cn), truth));
    }
}

void tally_job(const made::RandomJob& job, const Lines& lines, Tally& tally) {
    for (std::size_t r = 0; r < lines.runs.size(); ++r) {
        const AlignedRun& run = lines.runs[r];
        const made::TruePipe& pipe = job.pipes[r];
        tally.drawn.count(!run.points.empty());
        tally.length.count(run.length_m && run.length_m->lo95 <= pipe.length_m &&
                           pipe.length_m <= run.length_m->hi95);
        if (run.covariance.size() == 0) continue;
        tally.bends.count(run.bends.size() == pipe.bends.size());
        tally_points(job.site, r, run, pipe, tally);
    }
    for (std::size_t i = 0; i < lines.fixes.size(); ++i) {
        const bool rejected = lines.fixes[i].use == FixUse::rejected;
        (job.wrong_fix[i] ? tally.found : tally.falsely).count(rejected);
    }
    for (std::size_t i = 0; i < lines.structures.size(); ++i) {
        if (job.site.structures[i].surveyed || !lines.structures[i].plan) continue;
        const PlanFix& plan = *lines.structures[i].plan;
        const Eigen::Vector2d off(plan.at.e_m - job.true_box[0].e_m,
                                  plan.at.n_m - job.true_box[0].n_m);
        Eigen::Matrix2d c;
        c << plan.cov.ee, plan.cov.en, plan.cov.en, plan.cov.nn;
        tally.box.count(off.dot(c.inverse() * off) <= ellipse_95 * ellipse_95);
    }
}

void print(std::string_view title, const Tally& t) {
    fmt::print(
        "{:<10} rms {:.3f} m, straight {:.3f}, spline {:.3f} | within 95 %: position {:.3f} end "
        "{:.3f} across {:.3f} length {:.3f} box {:.3f} | bends right {:.2f} | outliers found "
        "{:.3f} of {:.0f}, good rejected {:.4f} | drawn {:.3f}\n",
        title, t.ours.rms(), t.straight.rms(), t.spline.rms(), t.position.value(), t.end.value(),
        t.across.value(), t.length.value(), t.box.value(), t.bends.value(), t.found.value(),
        t.found.all, t.falsely.value(), t.drawn.value());
}

}  // namespace

int main(int argc, char** argv) {
    const int jobs = argc > 1 ? std::atoi(argv[1]) : 200;
    std::vector<double> accuracies{0.02, 0.05, 0.15, 0.3, 0.5};
    if (argc > 2) accuracies = {std::atof(argv[2])};
    std::map<double, Tally> tallies;
    std::vector<double> seconds;
    for (int i = 0; i < jobs; ++i) {
        made::JobRecipe recipe;
        recipe.fix_sd_m = accuracies[static_cast<std::size_t>(i) % accuracies.size()];
        if (argc > 3) recipe.fix_spacing_m = std::atof(argv[3]);
        const made::RandomJob job = made::random_job(static_cast<std::uint64_t>(i) + 1, recipe);
        const std::clock_t begin = std::clock();
        const Lines lines = align_site(job.site);
        seconds.push_back(static_cast<double>(std::clock() - begin) / CLOCKS_PER_SEC);
        tally_job(job, lines, tallies[recipe.fix_sd_m]);
        tally_job(job, lines, tallies[0.0]);
    }
    for (const auto& [sd, tally] : tallies) {
        print(sd > 0.0 ? fmt::format("sd {:.2f} m", sd) : "all", tally);
    }
    std::sort(seconds.begin(), seconds.end());
    if (seconds.empty()) return 0;
    fmt::print("CPU per job: median {:.0f} ms, 95th percentile {:.0f} ms\n",
               1e3 * seconds[seconds.size() / 2], 1e3 * seconds[seconds.size() * 19 / 20]);
    return 0;
}
