#include "service/next_fixes.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "grade/phrases.hpp"
#include "pipeline/taped_crowns.hpp"
#include "terms/quantile.hpp"

namespace sondeline {

namespace {

constexpr double worth_saying = 0.75;  // of what it was before
constexpr double usual_h_sd_m = 0.15;
constexpr double usual_depth_sd_m = 0.05;

// What fixes of this job are good to, so that one more is taken to be like them.
double usual_of(std::vector<double> values, double otherwise) {
    return values.empty() ? otherwise : quantile(std::move(values), 0.5);
}

SiteFix one_more(const Fitted& now, int run, double x_m, const LinePoint& at) {
    std::vector<double> sds;
    for (const SiteFix& fix : now.site.fixes) {
        if (fix.position) sds.push_back(fix.h_sd_stated_m);
    }
    SiteFix fix;
    fix.id = "one more";
    fix.run = run;
    fix.placing = FixPlacing::by_counter;
    fix.x_m = x_m;
    fix.h_sd_stated_m = usual_of(sds, usual_h_sd_m);
    const double variance = fix.h_sd_stated_m * fix.h_sd_stated_m;
    fix.position = PlanFix{at.at, {variance, 0.0, variance}};
    return fix;
}

// Along the counter, from the start structure, as the technician sees it.
std::string place_words(const SiteRun& run, double x_m, LengthUnit unit) {
    return fmt::format("on {}, about {} along it by the counter", run.id.text,
                       length_words(x_m, unit, 0));
}

std::optional<Suggestion> surer_line(const Fitted& now) {
    int worst = -1;
    LeastCertain place;
    for (std::size_t i = 0; i < now.lines.runs.size(); ++i) {
        const auto here = least_certain(now.lines.runs[i]);
        if (!here || here->sd_m <= place.sd_m) continue;
        worst = static_cast<int>(i);
        place = *here;
    }
    if (worst < 0) return std::nullopt;
    const AlignedRun& run = now.lines.runs[static_cast<std::size_t>(worst)];
    const auto at = point_at(run, place.station_m);
    if (!at) return std::nullopt;
    Site more = now.site;
    more.fixes.push_back(one_more(now, worst, place.x_m, *at));
    const Lines then = align_site(more);
    const auto after = least_certain(then.runs[static_cast<std::size_t>(worst)]);
    if (!after || after->sd_m > worth_saying * place.sd_m) return std::nullopt;
    const LengthUnit unit = now.site.job_unit;
    Suggestion suggestion;
    suggestion.where.run = run.run.id.text;
    suggestion.where.station_m = place.station_m;
    suggestion.words = fmt::format(
        "A fix {} would help the map most: the line is good to {} there now (95 %), and to {} at "
        "worst with it.",
        place_words(run.run, place.x_m, unit), length_words(ellipse_95 * place.sd_m, unit, 1),
        length_words(ellipse_95 * after->sd_m, unit, 1));
    return suggestion;
}

// The middle of the widest stretch without a depth.
struct Gap {
    double x_m = 0.0;
    double width_m = 0.0;
};

Gap widest_gap(const SiteRun& run) {
    std::vector<double> xs{0.0};
    for (const VerticalObservation& row : run.vertical) {
        if (is_depth(row.kind)) xs.push_back(row.x_m);
    }
    if (run.counter_length_m) xs.push_back(*run.counter_length_m);
    std::ranges::sort(xs);
    Gap widest;
    for (std::size_t i = 0; i + 1 < xs.size(); ++i) {
        const double width_m = xs[i + 1] - xs[i];
        if (width_m > widest.width_m) widest = {(xs[i] + xs[i + 1]) / 2.0, width_m};
    }
    return widest;
}

// Elevation of the ground between its neighbours, as a rod beside the fix would give it.
std::optional<Estimate> ground_between(const SiteRun& run, double x_m) {
    const VerticalObservation* before = nullptr;
    const VerticalObservation* after = nullptr;
    for (const VerticalObservation& row : run.vertical) {
        if (!row.ground_m) continue;
        if (row.x_m <= x_m && (before == nullptr || row.x_m > before->x_m)) before = &row;
        if (row.x_m >= x_m && (after == nullptr || row.x_m < after->x_m)) after = &row;
    }
    if (before == nullptr || after == nullptr) return std::nullopt;
    const double span_m = after->x_m - before->x_m;
    const double share = span_m > 0.0 ? (x_m - before->x_m) / span_m : 0.0;
    return Estimate{
        before->ground_m->value + share * (after->ground_m->value - before->ground_m->value),
        before->ground_m->sd};
}

std::optional<double> depth_between(const SiteRun& run, double x_m) {
    std::vector<double> depths;
    for (const VerticalObservation& row : run.vertical) {
        const bool near = std::abs(row.x_m - x_m) < 15.0;
        if (near && row.kind == VerticalKind::sonde_depth) depths.push_back(row.depth_m.value);
    }
    if (depths.empty()) return std::nullopt;
    return usual_of(std::move(depths), 0.0);
}

// The smallest sag of any width that would show.
std::optional<DetectionLimit> best_limit(const GradedRun& run) {
    std::optional<DetectionLimit> best;
    for (const DetectionLimit& limit : run.limits) {
        if (limit.sag_m && (!best || *limit.sag_m < *best->sag_m)) best = limit;
    }
    return best;
}

std::optional<Suggestion> smaller_belly(const Fitted& now) {
    int worst = -1;
    Gap gap;
    for (std::size_t i = 0; i < now.site.runs.size(); ++i) {
        const bool drawn = !now.lines.runs[i].points.empty();
        const Gap here = widest_gap(now.site.runs[i]);
        if (!drawn || here.width_m <= gap.width_m) continue;
        worst = static_cast<int>(i);
        gap = here;
    }
    if (worst < 0) return std::nullopt;
    const auto index = static_cast<std::size_t>(worst);
    const SiteRun& run = now.site.runs[index];
    const auto depth_m = depth_between(run, gap.x_m);
    const auto ground = ground_between(run, gap.x_m);
    const auto before = best_limit(now.profiles.runs[index]);
    if (!depth_m || !ground || !before) return std::nullopt;
    Lines more = now.lines;
    AlignedRun& line = more.runs[index];
    StationedVertical row;
    row.row = {VerticalKind::sonde_depth,
               gap.x_m,
               0.0,
               {*depth_m, usual_depth_sd_m},
               ground,
               -1,
               "one more"};
    row.station_m = station_of_x(line, gap.x_m);
    line.vertical.push_back(row);
    more.runs = {line};
    const Profiles then = grade_lines(more, now.grade);
    const auto after = best_limit(then.runs.front());
    if (!after || *after->sag_m > worth_saying * *before->sag_m) return std::nullopt;
    Suggestion suggestion;
    suggestion.where.run = run.id.text;
    suggestion.words = fmt::format(
        "A fix with depth and level {} would help the heights most: the smallest belly that could "
        "show goes from {} to {}.",
        place_words(run, gap.x_m, now.site.job_unit),
        grade::height_words(*before->sag_m, now.site.job_unit),
        grade::height_words(*after->sag_m, now.site.job_unit));
    return suggestion;
}

}  // namespace

Fitted fitted(Site site, GradeOptions grade) {
    Fitted fit;
    fit.lines = align_site(site);
    doubt_taped_crowns(site.job_unit, fit.lines);
    fit.profiles = grade_lines(fit.lines, grade);
    fit.site = std::move(site);
    fit.grade = std::move(grade);
    return fit;
}

std::optional<LeastCertain> least_certain(const AlignedRun& run) {
    if (run.covariance.size() == 0) return std::nullopt;
    LeastCertain worst;
    for (const LinePoint& point : run.points) {
        const double sd_m = error_ellipse(point.cov).long_sd_m;
        if (sd_m > worst.sd_m) worst = {point.station_m, point.x_m, sd_m};
    }
    return worst.sd_m > 0.0 ? std::optional(worst) : std::nullopt;
}

std::vector<Suggestion> next_fixes(const Fitted& now) {
    std::vector<Suggestion> all;
    if (auto line = surer_line(now)) all.push_back(std::move(*line));
    if (auto belly = smaller_belly(now)) all.push_back(std::move(*belly));
    return all;
}

}  // namespace sondeline
