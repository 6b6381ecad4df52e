#include <algorithm>
#include <cmath>

#include "appraisal/parts.hpp"

namespace sondeline {

namespace {

constexpr double margin_m = 0.5;

struct Defect {
    double from_m = 0.0;
    double to_m = 0.0;
    std::string why;
    // How far either end may lie further out or in, at 95 %, beside what the counter leaves open.
    Bounded from_off_m;
    Bounded to_off_m;
};

Bounded off_of(const std::optional<Bounded>& end_m) {
    if (!end_m) return {};
    return {0.0, end_m->lo95 - end_m->value, end_m->hi95 - end_m->value};
}

// The same once the end was put where the run ends.
Bounded within_run(const Bounded& off_m, double end_m, double length_m) {
    return {0.0, std::max(off_m.lo95, -end_m), std::min(off_m.hi95, length_m - end_m)};
}

// In order of their stations.
std::vector<Defect> defects_of(const Site& site, const Job& job, const AlignedRun& aligned,
                               const GradedRun& graded) {
    std::vector<Defect> defects;
    for (const Belly& belly : graded.bellies) {
        defects.push_back({belly.from_m, belly.to_m, "holds water", off_of(belly.from_bounds_m),
                           off_of(belly.to_bounds_m)});
    }
    for (const SiteNote& placed : site.notes) {
        const Note& note = job.notes[static_cast<std::size_t>(placed.note)];
        if (placed.run < 0 || !is_defect(note.category) ||
            site.runs[static_cast<std::size_t>(placed.run)].id != aligned.run.id) {
            continue;
        }
        const double from_m = station_of_x(aligned, placed.x_m);
        const double to_m = station_of_x(aligned, placed.to_x_m.value_or(placed.x_m));
        defects.push_back({std::min(from_m, to_m),
                           std::max(from_m, to_m),
                           std::string(word(note.category)),
                           {},
                           {}});
    }
    std::ranges::stable_sort(defects, {}, &Defect::from_m);
    return defects;
}

std::vector<Defect> widened_and_merged(const std::vector<Defect>& defects, double length_m) {
    std::vector<Defect> merged;
    for (Defect defect : defects) {
        // A note may lie just beyond the end.
        defect.from_m = std::max(std::min(defect.from_m, length_m) - margin_m, 0.0);
        defect.to_m = std::min(std::max(defect.to_m, 0.0) + margin_m, length_m);
        defect.from_off_m = within_run(defect.from_off_m, defect.from_m, length_m);
        defect.to_off_m = within_run(defect.to_off_m, defect.to_m, length_m);
        if (merged.empty() || defect.from_m > merged.back().to_m) {
            merged.push_back(defect);
            continue;
        }
        Defect& last = merged.back();
        if (defect.to_m > last.to_m) {
            last.to_m = defect.to_m;
            last.to_off_m = defect.to_off_m;
        }
        if (last.why.find(defect.why) == std::string::npos) last.why += "; " + defect.why;
    }
    return merged;
}

// A difference of two counter readings: each is rounded to a step (a uniform error, variance
// step²/12), and the scale is that of the run. How far its own ends are known comes beside that.
Bounded length_of(const AlignedRun& aligned, const Defect& stretch) {
    const double length_m = stretch.to_m - stretch.from_m;
    const double of_scale =
        aligned.scale.value > 0.0 ? length_m * aligned.scale.sd / aligned.scale.value : 0.0;
    const double sd_m = std::hypot(of_scale, aligned.run.tick_m / std::sqrt(6.0));
    const auto spread = [&](double at_from_m, double at_to_m) {
        return std::hypot(normal_95 * sd_m, at_from_m, at_to_m);
    };
    return {length_m,
            std::max(0.0, length_m - spread(stretch.from_off_m.hi95, stretch.to_off_m.lo95)),
            length_m + spread(stretch.from_off_m.lo95, stretch.to_off_m.hi95)};
}

// No place is deeper than the greatest depth: each of its bounds is the greatest of all places.
std::optional<Bounded> greatest_depth_m(const GradedRun& graded, const Defect& stretch) {
    std::optional<Bounded> greatest;
    for (const ProfilePoint& point : graded.profile) {
        if (point.station_m < stretch.from_m || point.station_m > stretch.to_m) continue;
        if (!point.cover_m) return std::nullopt;
        if (!greatest) greatest = point.cover_m;
        for (double Bounded::*const part : {&Bounded::value, &Bounded::lo95, &Bounded::hi95}) {
            greatest.value().*part = std::max(greatest.value().*part, point.cover_m.value().*part);
        }
    }
    return greatest;
}

}  // namespace

std::vector<Replacement> stretches_to_replace(const Site& site, const Job& job, const Lines& lines,
                                              const Profiles& profiles) {
    std::vector<Replacement> all;
    for (std::size_t i = 0; i < lines.runs.size(); ++i) {
        const AlignedRun& aligned = lines.runs[i];
        const GradedRun& graded = profiles.runs[i];
        if (!aligned.length_m) continue;
        for (const Defect& stretch :
             widened_and_merged(defects_of(site, job, aligned, graded), aligned.length_m->value)) {
            all.push_back({aligned.run.id, stretch.from_m, stretch.to_m,
                           length_of(aligned, stretch), aligned.run.diameter_m,
                           aligned.run.material, greatest_depth_m(graded, stretch), stretch.why});
        }
    }
    return all;
}

}  // namespace sondeline
