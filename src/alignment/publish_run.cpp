#include "alignment/publish_run.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "alignment/phrases.hpp"

namespace sondeline::alignment {
namespace {

constexpr double most_apart_m = 0.5;
constexpr double assumed_start_sd_m = 0.05;
constexpr double just_after_m = 1e-9;
constexpr int fixes_for_own_scale = 2;

void add_between(double from_x, double to_x, double station, double scale,
                 std::vector<DrawnStation>& out) {
    const double length = (to_x - from_x) * scale;
    const int pieces = static_cast<int>(std::ceil(length / most_apart_m - 1e-9));
    for (int i = 1; i < pieces; ++i) {
        const double share = static_cast<double>(i) / pieces;
        out.push_back({from_x + share * (to_x - from_x), station + share * length});
    }
}

std::vector<double> nominal(const std::vector<DrawnStation>& stations) {
    std::vector<double> x;
    x.reserve(stations.size());
    for (const DrawnStation& at : stations) x.push_back(at.x_m);
    return x;
}

double worst_sd(const Eigen::MatrixXd& points) {
    double worst = 0.0;
    for (Eigen::Index i = 0; i + 1 < points.rows(); i += 2) {
        worst = std::max(worst, long_axis_m(points.block<2, 2>(i, i)));
    }
    return std::isfinite(worst) ? worst : std::numeric_limits<double>::infinity();
}

Bounded with_bounds(double length, double variance, double tick_m) {
    const double half = normal_95 * std::sqrt(variance + tick_m * tick_m / 12.0);
    return {length, std::max(0.0, length - half), length + half};
}

Figure<Bounded> no_length(const SiteRun& run) {
    if (!run.counter_length_m) {
        return {std::nullopt, run.counter_length_m.withheld};
    }
    return withheld<Bounded>("The counter's length of this run is not believable.",
                             "Check the counter reading at the start and the counter's unit.");
}

// A run's whole scale by its reel and, where its joints tell, by its sticks, which the reel's state
// contains already: they are taken out of it first.
ReelState told_by_reel(const SiteRun& run, const ReelState& reel) {
    constexpr double own = own_scale_sd * own_scale_sd;
    const auto sticks = sticks_of(run);
    if (!sticks) return {reel.log_scale, reel.variance + own};
    const double seen = sticks->sd * sticks->sd;
    const double others = 1.0 / reel.variance - 1.0 / (seen + own);
    ReelState rest = reel;
    if (others > 0.0) {
        rest.variance = 1.0 / others;
        rest.log_scale =
            rest.variance * (reel.log_scale / reel.variance - sticks->log_scale / (seen + own));
    }
    rest.variance += own;
    const double gain = rest.variance / (rest.variance + seen);
    return {rest.log_scale + gain * (sticks->log_scale - rest.log_scale), gain * seen};
}

// Where the run may begin with the first reading or with 0, the bounds must hold both.
void set_length(AlignedRun& out, double length, double variance) {
    constexpr double sds_to_the_other_start = 1.5;
    if (out.run.start_assumed) {
        const double sd_m =
            std::max(assumed_start_sd_m, std::abs(out.run.start_doubt_m) / sds_to_the_other_start);
        variance += sd_m * sd_m;
    }
    out.length_sd_m = std::sqrt(variance);
    out.length_m = figure(with_bounds(length, variance, out.run.tick_m));
}

void add_bends(const RunLine& line, const RunModel& model, const AdjustedRun& adjusted,
               AlignedRun& out) {
    const double scale = out.scale.value;
    for (std::size_t k = 0; k < model.bends.size(); ++k) {
        const BendUnknown& bend = model.bends[k];
        const auto at = static_cast<Eigen::Index>(k);
        Bend made;
        made.station_m = std::max(0.0, scale * line.without_slip_m(bend.x_m));
        made.angle_rad = {bend.angle_rad, adjusted.spread
                                              ? std::sqrt(adjusted.spread->bend_angle_variance(at))
                                              : bend_angle_sd_rad};
        made.nearest_fitting = nearest_fitting(made.angle_rad);
        made.noted = bend.likely && bend.likely->noted;
        made.seen_turning = bend.likely && !bend.likely->noted;
        out.bends.push_back(std::move(made));
    }
    std::stable_sort(out.bends.begin(), out.bends.end(),
                     [](const Bend& a, const Bend& b) { return a.station_m < b.station_m; });
}

void draw(const RunLine& line, const AdjustedRun& adjusted, double map_per_ground,
          AlignedRun& out) {
    out.covariance = adjusted.spread->points;
    for (std::size_t i = 0; i < adjusted.stations.size(); ++i) {
        const DrawnStation& at = adjusted.stations[i];
        const Eigen::Vector2d p =
            line.at(at.x_m) + adjusted.spread->shift_m.segment<2>(2 * static_cast<Eigen::Index>(i));
        const auto block = out.covariance.block<2, 2>(2 * static_cast<Eigen::Index>(i),
                                                      2 * static_cast<Eigen::Index>(i));
        const double heading = directed(line.heading_rad(at.x_m + just_after_m)).rad;
        out.points.push_back({.station_m = at.station_m,
                              .x_m = at.x_m,
                              .at = {p.x(), p.y()},
                              .heading_rad = heading,
                              .cov = {block(0, 0), block(0, 1), block(1, 1)}});
        if (i == 0) continue;
        const PlanPoint& last = out.points[i - 1].at;
        out.plan_length_m += std::hypot(p.x() - last.e_m, p.y() - last.n_m) / map_per_ground;
    }
}

void add_vertical(AlignedRun& out) {
    for (const VerticalObservation& row : out.run.vertical) {
        out.vertical.push_back({row, station_of_x(out, row.x_m), station_of_x(out, row.to_x_m)});
    }
}

void count_fixes(const RunData& data, AlignedRun& out) {
    for (const PositionDatum& datum : data.positions) {
        ++(datum.rejected ? out.fixes_rejected : out.fixes_used);
    }
}

}  // namespace

bool start_unknown(const AlignedRun& run) {
    return !run.run.from && run.run.start_assumed;
}

namespace {

std::string quality_words(const AlignedRun& run, double worst_sd_m, LengthUnit unit) {
    const bool drawn = !run.points.empty();
    std::string words = fmt::format("Held by {}", count_words(run.fixes_used, "fix", "fixes"));
    if (run.fixes_rejected > 0) words += fmt::format(", {} rejected", run.fixes_rejected);
    if (!drawn) return words + ". Not drawn: " + run.why_not_placed.reason;
    words += fmt::format("; at its worst place the line is within {} (95 %).",
                         length_words(ellipse_95 * worst_sd_m, unit));
    if (run.placement == Placement::direction_from_fixes) {
        words += " Which way it was pushed rests on the order of the fixes alone.";
    }
    if (!run.length_m && start_unknown(run)) {
        words += " Its length is withheld, as where it starts is not known.";
    } else if (!run.length_m) {
        words += " It is drawn to the last fix only: its length is not measured.";
    }
    return words;
}

}  // namespace

std::vector<DrawnStation> drawn_stations(const RunModel& model, double x_end_m, double scale) {
    std::vector<BendUnknown> bends = model.bends;
    std::stable_sort(bends.begin(), bends.end(),
                     [](const BendUnknown& a, const BendUnknown& b) { return a.x_m < b.x_m; });
    std::vector<DrawnStation> out{{0.0, 0.0}};
    double from_x = 0.0;  // where the counter would stand at the last corner without slip
    for (const BendUnknown& bend : bends) {
        const double station = out.back().station_m;
        add_between(from_x, bend.x_m, station, scale, out);
        out.push_back({bend.x_m, std::max(station, station + scale * (bend.x_m - from_x))});
        from_x = bend.x_m + bend.slip_m;
    }
    const double station = out.back().station_m;
    add_between(from_x, x_end_m, station, scale, out);
    out.push_back({x_end_m, std::max(station, station + scale * (x_end_m - from_x))});
    for (std::size_t i = 1; i < out.size(); ++i) out[i].x_m = std::max(out[i].x_m, out[i - 1].x_m);
    return out;
}

bool strained_scale(double own, double reel) {
    constexpr double strained_sd = 3.0;
    return std::abs(own) > strained_sd * own_scale_sd ||
           std::abs(own + reel) > strained_sd * std::hypot(own_scale_sd, reel_scale_sd);
}

// Leaving one observation out: its residual over its share of redundancy.
std::optional<double> sticks_contradicted(const SiteRun& run, const Estimate& scale) {
    constexpr double least_redundancy = 0.05;
    constexpr double contradicted_sd = 3.0;
    const auto sticks = sticks_of(run);
    if (!sticks) return std::nullopt;
    const double adjusted_sd = scale.sd / scale.value;
    const double redundancy = 1.0 - std::pow(adjusted_sd / sticks->sd, 2);
    const double residual = std::log(scale.value) - sticks->log_scale;
    if (!(redundancy > least_redundancy) ||
        std::abs(residual) < contradicted_sd * sticks->sd * std::sqrt(redundancy)) {
        return std::nullopt;
    }
    return residual / redundancy;
}

AdjustedRun adjusted_run(const Network& network, const Linearised& at, std::size_t run,
                         const std::vector<Candidate>& pool) {
    AdjustedRun out;
    out.lone = lone_run(network, at, run);
    const RunModel& model = out.lone.state.runs[0];
    const double scale = std::exp(out.lone.state.shared(4) + model.own_scale);
    out.stations = drawn_stations(model, out.lone.problem.runs[0]->x_end_m, scale);
    const std::vector<double> x_m = nominal(out.stations);
    const std::vector<Candidate> models = moved_along(out.lone, FixLoss::mixture, pool);
    out.spread = averaged_spread(out.lone, x_m, FixLoss::mixture, models);
    if (out.spread) out.doubts = end_doubts(out.lone, FixLoss::mixture, models, *out.spread);
    out.worst_sd_m =
        out.spread ? worst_sd(out.spread->points) : std::numeric_limits<double>::infinity();
    return out;
}

namespace {

// A tape in a structure where the run does not start or end says nothing of it.
SiteRun as_pushed(SiteRun run, const RunData& data) {
    run.start_assumed = (run.start_assumed && !data.start_borne_out) || data.start_off_m > 0.0;
    run.start_doubt_m = std::max(std::abs(run.start_doubt_m), data.start_off_m);
    if (data.start_unknown) {
        run.counter_length_m = withheld<double>(
            "By its fixes the counter showed something else at its start than was taken for it.",
            "See the finding at its counter at start.");
    }
    if (data.starts_elsewhere) {
        run.from.reset();
        std::erase_if(run.vertical, [](const VerticalObservation& row) {
            return row.kind == VerticalKind::taped_start;
        });
    }
    if (!data.ends_elsewhere) return run;
    run.stops_short = true;
    std::erase_if(run.vertical, [](const VerticalObservation& row) {
        return row.kind == VerticalKind::taped_end;
    });
    return run;
}

// Positions that do not place a run do not tell its length either.
AlignedRun published_undrawn(const Site& site, const RunData& data, const AdjustedRun& adjusted,
                             const Standing& standing, const ReelState& reel) {
    AlignedRun out = published_length_only(as_pushed(site.runs[data.run], data), reel);
    out.placement = standing.placement;
    out.why_not_placed = standing.why;
    count_fixes(data, out);
    const RunModel& model = adjusted.lone.state.runs[0];
    const RunLine line(model, place_of(adjusted.lone.problem, adjusted.lone.state, 0));
    add_bends(line, model, adjusted, out);
    out.quality = quality_words(out, adjusted.worst_sd_m, site.job_unit);
    return out;
}

}  // namespace

AlignedRun published(const Site& site, const RunData& data, const AdjustedRun& adjusted,
                     const Standing& standing, const ReelState& reel, bool both_ends_known) {
    if (standing.placement != Placement::placed &&
        standing.placement != Placement::direction_from_fixes) {
        return published_undrawn(site, data, adjusted, standing, reel);
    }
    AlignedRun out;
    out.run = as_pushed(site.runs[data.run], data);
    out.stops_short = out.run.stops_short;
    out.placement = standing.placement;
    out.why_not_placed = standing.why;
    const RunModel& model = adjusted.lone.state.runs[0];
    const RunLine line(model, place_of(adjusted.lone.problem, adjusted.lone.state, 0));
    const double scale = std::exp(adjusted.lone.state.shared(4) + model.own_scale);
    const ReelState by_reel = told_by_reel(out.run, reel);
    out.scale = {scale, scale * std::sqrt(adjusted.spread ? adjusted.spread->scale_variance
                                                          : by_reel.variance)};
    count_fixes(data, out);
    if (data.length_measured && out.run.counter_length_m) {
        const double length = adjusted.stations.back().station_m;
        double variance = adjusted.spread ? adjusted.spread->length_variance
                                          : std::numeric_limits<double>::infinity();
        const bool held = out.fixes_used >= fixes_for_own_scale || both_ends_known;
        if (!adjusted.spread) variance = length * length * by_reel.variance;
        if (!held) variance = std::max(variance, length * length * by_reel.variance);
        if (strained_scale(model.own_scale, adjusted.lone.state.shared(4))) {
            variance += std::pow(length * (1.0 - std::exp(reel.log_scale) / scale), 2);
        }
        if (const auto off = sticks_contradicted(out.run, out.scale)) {
            variance += std::pow(length * std::expm1(*off), 2);
        }
        set_length(out, length, variance);
    } else {
        out.length_m = no_length(out.run);
    }
    add_bends(line, model, adjusted, out);
    draw(line, adjusted, site.frame.scale_factor, out);
    add_vertical(out);
    out.quality = quality_words(out, adjusted.worst_sd_m, site.job_unit);
    return out;
}

AlignedRun published_length_only(const SiteRun& run, const ReelState& reel) {
    AlignedRun out;
    out.run = run;
    out.stops_short = run.stops_short;
    out.why_not_placed = {"No fix was taken on this run.",
                          "Locate the head from the surface at two places or more."};
    const ReelState told = told_by_reel(run, reel);
    const double scale = std::exp(told.log_scale);
    out.scale = {scale, scale * std::sqrt(told.variance)};
    if (const std::optional<double> length = measured_length_m(run)) {
        double variance = told.variance;
        if (const auto off = sticks_contradicted(run, out.scale)) {
            variance += std::pow(std::expm1(*off), 2);
        }
        set_length(out, scale * *length, std::pow(scale * *length, 2) * variance);
        out.quality = fmt::format("Length by the counter{}; not drawn, for no fix was taken on it.",
                                  run.scale_by_sticks ? " and the length of its sticks" : " alone");
    } else {
        out.length_m = no_length(run);
        out.quality = "Neither its length nor its place is known.";
    }
    add_vertical(out);
    return out;
}

void draw_inferred(AlignedRun& run, const EndPositions& ends, const Site& site) {
    const double e = ends.to.e_m - ends.from.e_m;
    const double n = ends.to.n_m - ends.from.n_m;
    const double straight = std::hypot(e, n) / site.frame.scale_factor;
    if (!(straight > 0.0) || !std::isfinite(straight)) return;
    const double along = run.length_m ? run.length_m->value : straight;
    const int pieces =
        std::max(1, static_cast<int>(std::ceil(std::min(along, 1e4) / most_apart_m - 1e-9)));
    for (int i = 0; i <= pieces; ++i) {
        const double share = static_cast<double>(i) / pieces;
        LinePoint point;
        point.station_m = share * along;
        point.x_m = point.station_m / run.scale.value;
        point.at = {ends.from.e_m + share * e, ends.from.n_m + share * n};
        point.heading_rad = directed(std::atan2(e, n)).rad;
        run.points.push_back(point);
    }
    run.plan_length_m = straight;
    run.placement = Placement::inferred;
    run.why_not_placed = {};
    run.quality = fmt::format(
        "Drawn straight between its end structures ({} apart) because no fix was taken on it; "
        "where it really lies is not known.",
        length_words(straight, site.job_unit));
}

std::string nearest_fitting(const Estimate& angle_rad) {
    struct Fitting {
        double degrees;
        std::string_view words;
    };
    static constexpr std::array<Fitting, 5> fittings{{{22.5, "a 22.5° fitting"},
                                                      {45.0, "a 45° fitting"},
                                                      {60.0, "a 60° fitting"},
                                                      {72.0, "a 72° fitting"},
                                                      {90.0, "a 90° fitting"}}};
    std::string found;
    for (const Fitting& fitting : fittings) {
        const double off = std::abs(std::abs(angle_rad.value) - fitting.degrees * degree);
        if (off > 2.0 * angle_rad.sd) continue;
        if (!found.empty()) return "";
        found = fitting.words;
    }
    return found;
}

}  // namespace sondeline::alignment
