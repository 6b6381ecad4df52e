#include "grade/ground_slips.hpp"

#include <algorithm>
#include <cmath>

#include <Eigen/Cholesky>
#include <fmt/format.h>

#include "grade/phrases.hpp"

namespace sondeline::grade {

namespace {

constexpr double kSlipAbove = 3.7;
// Either part alone, and how far the two may differ, in standard deviations.
constexpr double kEachAbove = 1.8;
constexpr double kDifferBy = 2.5;
constexpr double kFewestPoints = 4.0;
constexpr double kSamePoint_m = 0.05;
constexpr double kGroundFallSd = 0.05;  // of yards (common practice, no source)
constexpr double kFoot_m = 0.3048;
constexpr double kDecimetre_m = 0.1;

using Index = Eigen::Index;

// What one observation is off by from all others, and the weight of that.
struct Off {
    double by_m = 0.0;
    double weight = 0.0;  // 1/variance

    double t() const { return by_m * std::sqrt(weight); }
};

Off off(const Eigen::MatrixXd& q, const Eigen::VectorXd& qy, Index i) {
    return q(i, i) > 0.0 ? Off{qy(i) / q(i, i), q(i, i)} : Off{};
}

// Q and Qy of the known ground about an even fall.
struct GroundModel {
    Eigen::MatrixXd q;
    Eigen::VectorXd qy;
};

GroundModel solve_ground(const std::vector<GroundPoint>& known) {
    const auto n = static_cast<Index>(known.size());
    const GroundPoint& first = known.front();
    Eigen::MatrixXd v(n, n);
    Eigen::MatrixXd x(n, 2);
    Eigen::VectorXd y(n);
    for (Index i = 0; i < n; ++i) {
        const GroundPoint& point = known[static_cast<std::size_t>(i)];
        const double along_m = point.station_m - first.station_m;
        // Stations rise, so that the walk of the nearer one is what both have in common.
        for (Index j = i; j < n; ++j) v(i, j) = v(j, i) = kGroundWander_m2_per_m * along_m;
        v(i, i) += point.elevation_m.sd * point.elevation_m.sd;
        x.row(i) << 1.0, along_m;
        y(i) = point.elevation_m.value - first.elevation_m.value;
    }
    const Eigen::LLT<Eigen::MatrixXd> factor(v);
    const Eigen::MatrixXd vinv = factor.solve(Eigen::MatrixXd::Identity(n, n));
    const Eigen::MatrixXd vinv_x = vinv * x;
    Eigen::MatrixXd information = x.transpose() * vinv_x;
    information(0, 0) += 1.0 / (kLevelSd_m * kLevelSd_m);
    information(1, 1) += 1.0 / (kGroundFallSd * kGroundFallSd);
    GroundModel model;
    model.q = vinv - vinv_x * information.llt().solve(vinv_x.transpose());
    model.qy = model.q * y;
    return model;
}

std::optional<Index> point_of(const Row& row, const GroundLine& line) {
    for (std::size_t k = 0; k < line.known.size(); ++k) {
        if (std::abs(line.known[k].station_m - row.station_m) < kSamePoint_m &&
            line.known[k].elevation_m.value == row.ground_m->value) {
            return static_cast<Index>(k);
        }
    }
    return std::nullopt;
}

struct Slip {
    std::size_t row = 0;
    Index point = 0;
    Off ground;
    Off invert;

    double weight() const { return ground.weight + invert.weight; }
    double by_m() const {
        return (ground.by_m * ground.weight + invert.by_m * invert.weight) / weight();
    }
    double sd_m() const { return 1.0 / std::sqrt(weight()); }
    double t() const { return std::abs(by_m()) / sd_m(); }
    bool both_say_so() const {
        const double sign = by_m() < 0.0 ? -1.0 : 1.0;
        const double difference_sd_m = std::sqrt(1.0 / ground.weight + 1.0 / invert.weight);
        return sign * ground.t() > kEachAbove && sign * invert.t() > kEachAbove &&
               std::abs(ground.by_m - invert.by_m) < kDifferBy * difference_sd_m;
    }
};

std::optional<Slip> worst_slip(const RunRows& run, double scatter) {
    if (static_cast<double>(run.ground.known.size()) < kFewestPoints) return std::nullopt;
    const VerticalModel invert =
        solve_model({&run.rows, &run.ground, scatter, kOutlierWander_m}, plain_trends(run));
    const GroundModel ground = solve_ground(run.ground.known);
    std::optional<Slip> worst;
    for (std::size_t i = 0; i < run.rows.size(); ++i) {
        const Row& row = run.rows[i];
        if (!row.fix || !row.ground_m) continue;
        const auto point = point_of(row, run.ground);
        if (!point) continue;
        const Slip slip{i, *point, off(ground.q, ground.qy, *point),
                        off(invert.q, invert.qy, static_cast<Index>(i))};
        if (!(slip.ground.weight > 0.0) || !(slip.invert.weight > 0.0)) continue;
        if (slip.t() <= kSlipAbove || !slip.both_say_so()) continue;
        if (!worst || slip.t() > worst->t()) worst = slip;
    }
    return worst;
}

void tell(const RunId& id, const Slip& slip, RunRows& run) {
    const Row& row = run.rows[slip.row];
    const auto side = [](double by_m) { return by_m > 0.0 ? "above" : "below"; };
    Finding finding = run_finding(
        id, Severity::caution,
        fmt::format("The ground levelled or given at {} stands {} {} the ground at its neighbours, "
                    "and with its depth it puts the pipe {} {} where the other depths put it.{} "
                    "The height was not used; the ground there was taken from its neighbours.",
                    row.source, height_words(std::abs(slip.ground.by_m), run.unit),
                    side(slip.ground.by_m), height_words(std::abs(slip.invert.by_m), run.unit),
                    side(slip.invert.by_m),
                    whole_slip_words("rod reading", slip.by_m(), slip.sd_m(), run.unit)),
        "Look the rod reading up in the field book, or level this point again.");
    finding.where.station_m = row.station_m;
    run.findings.push_back(std::move(finding));
}

void leave_out(const Slip& slip, RunRows& run) {
    run.ground.known.erase(run.ground.known.begin() + slip.point);
    Row& slipped = run.rows[slip.row];
    const double own_sd_m = slipped.ground_m->sd;
    slipped.sd_m = std::sqrt(std::max(0.0, slipped.sd_m * slipped.sd_m - own_sd_m * own_sd_m));
    slipped.ground_m.reset();
    slipped.ground_interpolated = true;
    // Others that have no ground of their own may have leant on the height that is gone.
    for (Row& row : run.rows) {
        if (!row.ground_interpolated) continue;
        row.y_m = ground_at(run.ground, row.station_m)->value - row.below_ground_m;
    }
}

}  // namespace

void leave_out_slipped_ground(const RunId& id, RunRows& run) {
    const auto fixes =
        std::ranges::count_if(run.rows, [](const Row& row) { return row.fix.has_value(); });
    if (run.ground.known.empty() || fixes == 0) return;
    const double scatter = screen_rows(run).scatter;
    for (std::ptrdiff_t left = fixes / 3; left > 0; --left) {
        const auto slip = worst_slip(run, scatter);
        if (!slip) return;
        tell(id, *slip, run);
        leave_out(*slip, run);
    }
}

std::string whole_slip_words(std::string_view reading, double slip_m, double sd_m,
                             LengthUnit unit) {
    const bool metric = unit == LengthUnit::metre;
    const double step_m = metric ? kDecimetre_m : kFoot_m;
    const double steps = std::round(std::abs(slip_m) / step_m);
    if (steps < 1.0 || std::abs(std::abs(slip_m) - steps * step_m) > 2.0 * sd_m) return "";
    return fmt::format(
        " A {} off by {} would explain it.", reading,
        metric ? fmt::format("{:.0f} cm", 10.0 * steps) : fmt::format("{:.0f} ft", steps));
}

}  // namespace sondeline::grade
