#include "service/slips.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "terms/quantile.hpp"

namespace sondeline {

namespace {

// Deeper than this a push camera's transmitter is not heard at the surface (common practice, no
// source); the reading of tables uses the same limit for whole runs.
constexpr double deepest_m = 10.0;

// One unit taken for another: feet and inches, feet and metres, inches and centimetres.
struct Mistaken {
    double factor;
    std::string_view words;
};
constexpr Mistaken mistaken_units[] = {{12.0, "feet taken for inches"},
                                       {1.0 / 12.0, "inches taken for feet"},
                                       {3.28, "metres taken for feet"},
                                       {0.305, "feet taken for metres"}};

Where at_fix(const Fix& fix, const char* column) {
    Where where = where_is(fix.source);
    where.column = column;
    where.run = fix.run.text;
    return where;
}

const Run* run_of(const Job& job, const RunId& id) {
    const auto run = std::ranges::find(job.runs, id, &Run::id);
    return run == job.runs.end() ? nullptr : &*run;
}

// Of all clips of the run; empty when one does not say.
std::optional<double> footage_s(const Job& job, const Run& run,
                                const std::vector<HeaderCheck>& headers) {
    double sum_s = 0.0;
    for (const std::string& name : run.footage) {
        const auto file = std::ranges::find(job.footage, name, &FootageFile::name);
        if (file == job.footage.end()) return std::nullopt;
        const auto& header = headers[static_cast<std::size_t>(file - job.footage.begin())];
        if (header.duration_s <= 0.0) return std::nullopt;
        sum_s += header.duration_s;
    }
    return run.footage.empty() ? std::nullopt : std::optional(sum_s);
}

std::optional<Finding> beyond_footage(const Fix& fix, const Run& run, double length_s) {
    constexpr double slack_s = 2.0;
    if (fix.counter) return std::nullopt;
    const char* column = fix.video_time_s ? "video_time" : "clock";
    std::optional<double> time_s;
    if (fix.video_time_s) time_s = fix.video_time_s->value;
    if (!time_s && fix.clock_s && run.footage_start_s) {
        time_s = fix.clock_s->value - run.footage_start_s->value;
    }
    if (!time_s || (*time_s >= -slack_s && *time_s <= length_s + slack_s)) return std::nullopt;
    const std::string where =
        *time_s < 0.0 ? fmt::format("{:.0f} s before its footage begins", -*time_s)
                      : fmt::format("{:.0f} s after its footage ends", *time_s - length_s);
    return Finding{Severity::problem, at_fix(fix, column),
                   fmt::format("Fix {} was taken {}.", fix.id, where),
                   "Give the counter that was shown at the fix, or correct the time or the run.",
                   Consequence::input_rejected};
}

// The middle depth of up to two fixes on either side; empty with fewer than three.
std::optional<double> usual_depth_m(const std::vector<const Fix*>& deep, std::size_t at) {
    std::vector<double> near;
    for (std::size_t i = at > 2 ? at - 2 : 0; i < std::min(deep.size(), at + 3); ++i) {
        if (i != at) near.push_back(deep[i]->depth_m->value);
    }
    if (near.size() < 3) return std::nullopt;
    const double usual_m = quantile(std::move(near), 0.5);
    // A run that is too deep as a whole was told of when the tables were read.
    return usual_m > 0.0 && usual_m < deepest_m ? std::optional(usual_m) : std::nullopt;
}

std::string what_is_odd(const Fix& fix, const std::optional<double>& usual_m) {
    if (!usual_m) return "";
    const double depth_m = fix.depth_m->value;
    for (const Mistaken& mistake : mistaken_units) {
        constexpr double near = 0.15;
        const double ratio = depth_m / *usual_m;
        if (ratio > 0.0 && std::abs(std::log(ratio * mistake.factor)) < near) {
            return fmt::format(
                "The depth of fix {} is {:.2f} times that of the fixes next to it, as with {}.",
                fix.id, ratio, mistake.words);
        }
    }
    if (depth_m <= deepest_m) return "";
    return fmt::format("The depth of fix {} is {:.0f} m, deeper than a transmitter is heard.",
                       fix.id, depth_m);
}

// How far apart neighbouring fixes of a run lie, over what its counter says.
std::vector<double> distance_ratios(const Site& site, int run) {
    std::vector<const SiteFix*> placed;
    for (const SiteFix& fix : site.fixes) {
        if (fix.run == run && fix.position && fix.placing == FixPlacing::by_counter) {
            placed.push_back(&fix);
        }
    }
    std::ranges::sort(placed, {}, &SiteFix::x_m);
    std::vector<double> ratios;
    for (std::size_t i = 0; i + 1 < placed.size(); ++i) {
        constexpr double telling_m = 1.0;
        const double counted_m = placed[i + 1]->x_m - placed[i]->x_m;
        const PlanPoint& a = placed[i]->position->at;
        const PlanPoint& b = placed[i + 1]->position->at;
        if (counted_m <= telling_m) continue;
        ratios.push_back(std::hypot(b.e_m - a.e_m, b.n_m - a.n_m) / counted_m);
    }
    return ratios;
}

}  // namespace

Findings clip_slips(const Job& job, const std::vector<HeaderCheck>& headers) {
    Findings findings;
    for (std::size_t i = 0; i < headers.size(); ++i) {
        Where where;
        where.file = job.footage[i].name;
        const HeaderCheck& header = headers[i];
        if (!header.why_not.empty()) {
            findings.push_back({Severity::problem, where, header.why_not, header.what_to_do,
                                Consequence::input_rejected});
        } else if (header.cut_off) {
            where.time_s = header.cut_off_at_s;
            findings.push_back({Severity::problem, where,
                                "The clip is cut off: the file ends before its footage does.",
                                "Copy it again from the recorder, before the recorder is wiped.",
                                Consequence::input_rejected});
        }
    }
    return findings;
}

Findings fix_slips(const Job& job, const std::vector<HeaderCheck>& headers) {
    Findings findings;
    for (const Fix& fix : job.fixes) {
        const Run* run = run_of(job, fix.run);
        if (run == nullptr) continue;  // said when the tables were read
        if (!fix.counter && !fix.video_time_s && !fix.clock_s) {
            findings.push_back(
                {Severity::caution, at_fix(fix, "counter"),
                 fmt::format("Fix {} says neither counter nor time, so only a hold in the footage "
                             "could place it.",
                             fix.id),
                 "Write down the counter that was shown while the head was held there.",
                 Consequence::none});
        }
        if (!fix.position && !fix.depth_m && !fix.heading_rad) {
            findings.push_back(
                {Severity::caution, at_fix(fix, ""),
                 fmt::format("Fix {} has no position, no depth and no heading.", fix.id),
                 "Fill in what the receiver showed, or strike the row.", Consequence::none});
        }
        const auto length_s = footage_s(job, *run, headers);
        if (!length_s) continue;
        if (auto finding = beyond_footage(fix, *run, *length_s)) {
            findings.push_back(std::move(*finding));
        }
    }
    return findings;
}

Findings depth_slips(const Job& job) {
    Findings findings;
    for (const Run& run : job.runs) {
        std::vector<const Fix*> deep;
        for (const Fix& fix : job.fixes) {
            if (fix.run == run.id && fix.depth_m) deep.push_back(&fix);
        }
        for (std::size_t i = 0; i < deep.size(); ++i) {
            const std::string what = what_is_odd(*deep[i], usual_depth_m(deep, i));
            if (what.empty()) continue;
            findings.push_back({Severity::caution, at_fix(*deep[i], "depth"), what,
                                "Look at the receiver's memory or take the fix again. Nothing was "
                                "converted.",
                                Consequence::none});
        }
    }
    return findings;
}

Findings counter_slips(const Site& site) {
    Findings findings;
    for (std::size_t r = 0; r < site.runs.size(); ++r) {
        const std::vector<double> ratios = distance_ratios(site, static_cast<int>(r));
        if (ratios.size() < 2) continue;
        const double ratio = quantile(ratios, 0.5);
        const bool counter_in_metres = ratio > 2.6 && ratio < 4.2;
        // A run that winds may be short in plan, but never so evenly.
        const bool counter_in_feet =
            ratio > 0.24 && ratio < 0.36 && *std::ranges::max_element(ratios) < 0.5;
        if (!counter_in_metres && !counter_in_feet) continue;
        Where where;
        where.run = site.runs[r].id.text;
        findings.push_back(
            {Severity::problem, where,
             fmt::format("The fixes lie {:.2f} times as far apart as the counter says: the counter "
                         "looks to be in {}.",
                         ratio,
                         counter_in_metres ? "metres, read as feet" : "feet, read as metres"),
             "Fill in counter_unit for the run, or length unit in the job table.",
             Consequence::none});
    }
    return findings;
}

}  // namespace sondeline
