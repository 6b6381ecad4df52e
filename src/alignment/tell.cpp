#include "alignment/tell.hpp"

#include <algorithm>
#include <cmath>

#include <Eigen/LU>
#include <fmt/format.h>

#include "alignment/fix_results.hpp"
#include "alignment/phrases.hpp"
#include "alignment/placement.hpp"
#include "alignment/publish_run.hpp"
#include "survey/push_end.hpp"

namespace sondeline::alignment {
namespace {

constexpr double misclosure_sd = 3.0;
constexpr double telling_factor = 2.0;       // of variance, after drawing to 1
constexpr double told_by_data_below = 0.75;  // of the spread known beforehand
constexpr int fixes_to_tell_worse = 4;
constexpr int fixes_to_tell_better = 10;

Where at_fix(const Site& site, const SiteFix& fix, const FixResult& result) {
    Where where = where_is(fix.source);
    if (fix.run >= 0) where.run = site.runs[fix.run].id.text;
    if (result.use != FixUse::unplaced) where.station_m = result.station_m;
    return where;
}

void tell_off(const Where& where, std::string what, std::string what_to_do, Findings& findings) {
    findings.push_back({Severity::caution, where, std::move(what), std::move(what_to_do)});
}

void tell_end(const Site& site, const RunData& run, const Eigen::Vector2d& off, double sd_m,
              int structure, std::string_view which, Findings& findings) {
    if (!(off.norm() > misclosure_sd * sd_m)) return;
    tell_off(
        at_run(site.runs[run.run].id),
        fmt::format("The {} of this run lies {} from {}, where {} at most is likely.", which,
                    length_words(off.norm(), site.job_unit), site.structures[structure].id.text,
                    length_words(misclosure_sd * sd_m, site.job_unit)),
        "Check the structure's position, which structure the run meets, and the counter at "
        "both ends.",
        findings);
}

void tell_strained_scale(const Site& site, const RunData& run, double own, double reel,
                         Findings& findings) {
    if (!strained_scale(own, reel)) return;
    const double whole = own + reel;
    tell_off(at_run(site.runs[run.run].id),
             fmt::format("The positions make this run {:.1f} % {} than its counter does.",
                         100.0 * std::abs(std::expm1(whole)), whole > 0.0 ? "longer" : "shorter"),
             "Check the counter at the start, and the positions at both ends. The bounds of its "
             "length reach the counter's own.",
             findings);
}

// `at` is where the runs put it, with the offset of the receiver that surveyed it.
void tell_moved(const Site& site, const Node& node, const Eigen::Vector2d& at, Findings& findings) {
    if (!node.surveyed || !node.structure) return;
    const Eigen::Vector2d off = at - node.surveyed->mean_m;
    const double square = off.dot(node.surveyed->covariance_m2.inverse() * off);
    if (!(square > 2.0 * misclosure_sd * misclosure_sd)) return;
    tell_off(at_structure(site.structures[*node.structure].id),
             fmt::format("The runs put it {} from its surveyed position.",
                         length_words(off.norm(), site.job_unit)),
             "Survey it again, or check which structure was meant.", findings);
}

// What became of the rest of a fix whose position was not used.
std::string what_was_used(const SiteFix& fix, const FixResult& result) {
    std::string words;
    if (result.heading_rad) {
        words = result.heading_rejected ? "Its heading was not used either."
                                        : "Its heading fits the line and was used.";
    }
    if (!fix.depth_m) return words;
    if (!words.empty()) words += " ";
    return words + (result.of_another_run
                        ? "Its depth would be that of another run and was not used."
                        : "Its depth was used, unless a finding of its own says otherwise: it goes "
                          "by the counter, not by the position.");
}

// How near a structure a run with this end has to end to be taken for one that leads there. Beyond
// its last fix a line is less sure than pipes of other runs lie apart.
double near_m(StructureKind kind, const PlanCovariance& end) {
    constexpr double most_end_sd_m = 0.3;
    const double end_sd_m = std::min(most_end_sd_m, error_ellipse(end).long_sd_m);
    return misclosure_sd * std::hypot(port_sd_m(kind), end_sd_m);
}

void tell_unnamed_end(const Site& site, const Lines& lines, const AlignedRun& run,
                      Findings& findings) {
    const LinePoint& end = run.points.back();
    for (std::size_t s = 0; s < site.structures.size(); ++s) {
        const SiteStructure& structure = site.structures[s];
        if (run.run.from == static_cast<int>(s) || !lines.structures[s].plan) continue;
        if (structure.kind == StructureKind::reference) continue;
        const PlanPoint& at = lines.structures[s].plan->at;
        const double off_m = std::hypot(at.e_m - end.at.e_m, at.n_m - end.at.n_m);
        if (off_m > near_m(structure.kind, end.cov)) continue;
        const std::string& there = structure.id.text;
        tell_off(at_run(run.run.id),
                 fmt::format("This run ends {} from {}, but nothing is written under to: it was "
                             "taken to end blind.",
                             length_words(off_m, site.job_unit), there),
                 fmt::format("If it ends there, write {} under to: then it is held there, and the "
                             "tape at its end is one of {}.",
                             there, there),
                 findings);
    }
}

}  // namespace

void tell_fixes(const Site& site, const Lines& lines, Findings& findings) {
    for (std::size_t i = 0; i < site.fixes.size(); ++i) {
        const SiteFix& fix = site.fixes[i];
        const FixResult& result = lines.fixes[i];
        if (result.use == FixUse::rejected && result.across_m) {
            tell_off(at_fix(site, fix, result),
                     fmt::format("Fix {}: its position was not used. {} {}", fix.id, result.why,
                                 what_was_used(fix, result)),
                     result.what_to_do, findings);
        } else if (result.use == FixUse::rejected) {
            tell_off(at_fix(site, fix, result),
                     fmt::format("Fix {} was not used. {}", fix.id, result.why),
                     result.what_to_do.empty() ? "Take this fix again." : result.what_to_do,
                     findings);
        } else if (result.use == FixUse::used && result.heading_rejected) {
            tell_off(at_fix(site, fix, result),
                     fmt::format("The heading of fix {} is {:.0f}° off the line and was not used; "
                                 "its position was.",
                                 fix.id, std::abs(result.heading_rad.value_or(0.0)) / degree),
                     "Check the heading against a compass error or a bend close by.", findings);
        } else if (!result.why.empty() && result.use == FixUse::used) {
            findings.push_back({Severity::info, at_fix(site, fix, result),
                                fmt::format("Fix {}: {}", fix.id, result.why), ""});
        }
    }
}

std::string no_fix_words(const Site& site, const RunId& run) {
    const bool any = std::ranges::any_of(site.fixes, [&](const SiteFix& fix) {
        return fix.run >= 0 && site.runs[static_cast<std::size_t>(fix.run)].id == run;
    });
    return any ? "None of the fixes of this run tells where it lies"
               : "No fix was taken on this run";
}

void tell_accuracies(const Site& site, const std::vector<AccuracyGroup>& groups,
                     Findings& findings) {
    for (const AccuracyGroup& group : groups) {
        const bool worse = group.variance_factor > telling_factor;
        if (!worse && group.variance_factor >= 1.0 / telling_factor) continue;
        if (group.fixes < (worse ? fixes_to_tell_worse : fixes_to_tell_better)) continue;
        findings.push_back(
            {worse ? Severity::caution : Severity::info,
             {},
             fmt::format("{} stated good to {} scatter {:.1f} times as much as that says; their "
                         "weight was set accordingly.",
                         count_words(group.fixes, "fix", "fixes"),
                         length_words(group.stated_m, site.job_unit), group.scatter),
             "State the accuracy that the locating really had."});
    }
}

void tell_receivers(const Site& site, const NetworkData& data, const Network& network,
                    const Eigen::MatrixXd& shared_covariance, Findings& findings) {
    const std::string todo =
        "With the same receiver, take a position of a point whose coordinates are known.";
    if (data.common_offset_m && !data.shift_taken_off) {
        tell_off(
            {},
            fmt::format("All positions come from one receiver that counts from no known point: "
                        "the whole map may lie {} off (95 %), all of it the same way. Lengths "
                        "and shapes do not feel that.",
                        length_words(ellipse_95 * *data.common_offset_m, site.job_unit)),
            todo, findings);
    }
    for (std::size_t j = 0; j < data.receivers_m.size(); ++j) {
        const int at = shared_of_receiver(data, static_cast<int>(j));
        const Eigen::Vector2d off = network.state.shared.segment<2>(at);
        const double sd = long_axis_m(shared_covariance.block<2, 2>(at, at));
        const std::string& name = site.receivers[j].name;
        if (sd < told_by_data_below * data.receivers_m[j]) {
            findings.push_back(
                {Severity::info,
                 {},
                 fmt::format("The positions of receiver {} lie {} from those of known points, "
                             "towards {:.0f}° of grid north, ±{}; that was taken off.",
                             name, length_words(off.norm(), site.job_unit),
                             directed(std::atan2(off.x(), off.y())).rad / degree,
                             length_words(ellipse_95 * sd, site.job_unit)),
                 ""});
        } else {
            tell_off({},
                     fmt::format("How far the positions of receiver {} are off could not be told "
                                 "from this job; the bounds allow for {}.",
                                 name, length_words(ellipse_95 * sd, site.job_unit)),
                     todo, findings);
        }
    }
}

// What a push that stopped leaves unsaid. A run that was not entered has nothing measured.
void tell_stop(const Site& site, const AlignedRun& run, Findings& findings) {
    if (!stopped_short(run.run.status) || !run.length_m) return;
    const std::string short_of =
        run.run.to ? ", short of " + site.structures[*run.run.to].id.text : "";
    tell_off(at_run(run.run.id),
             fmt::format("Its status is {}: the push stopped {} from the start{}. What is said of "
                         "this run is said of that part; the pipe beyond was not seen.",
                         word(run.run.status), length_words(run.length_m->value, site.job_unit),
                         short_of),
             "Push it from the other end, or again once it is mended, and process again. If the "
             "head did get through, write open as the status and note the break.",
             findings);
}

void tell_placement(const Site& site, const Lines& lines, Findings& findings) {
    for (const AlignedRun& run : lines.runs) {
        const Where where = at_run(run.run.id);
        tell_stop(site, run, findings);
        switch (run.placement) {
            case Placement::placed: break;
            case Placement::direction_from_fixes:
                findings.push_back({Severity::info, where,
                                    "Which way this run was pushed rests on the order of its fixes "
                                    "alone.",
                                    "Survey its start structure, or give start_heading."});
                break;
            case Placement::inferred:
                tell_off(where,
                         fmt::format("{}; it is drawn straight between its end structures, without "
                                     "bounds.",
                                     no_fix_words(site, run.run.id)),
                         "Locate the head at a few places along it.", findings);
                break;
            case Placement::shape_only:
            case Placement::unplaced:
                tell_off(where, "This run is not on the map. " + run.why_not_placed.reason,
                         run.why_not_placed.what_to_do, findings);
                break;
        }
        const bool told = start_unknown(run);
        if (!run.points.empty() && !run.length_m && !told && run.placement != Placement::inferred) {
            tell_off(where,
                     fmt::format("Its length is not measured, so it is drawn to its last fix only, "
                                 "{} from the start.",
                                 length_words(run.points.back().station_m, site.job_unit)),
                     run.length_m.withheld.what_to_do, findings);
        }
        if (run.placement == Placement::inferred && run.length_m &&
            run.plan_length_m > run.length_m->hi95) {
            tell_off(where,
                     fmt::format("Its end structures are {} apart, but its counter gives only {}.",
                                 length_words(run.plan_length_m, site.job_unit),
                                 length_words(run.length_m->value, site.job_unit)),
                     "Check both positions and whether the head reached the far structure.",
                     findings);
        }
    }
}

void tell_unnamed_ends(const Site& site, const Lines& lines, Findings& findings) {
    for (const AlignedRun& run : lines.runs) {
        if (run.run.to || run.stops_short || run.run.status == RunStatus::capped) continue;
        if (run.placement != Placement::placed || !run.length_m) continue;
        tell_unnamed_end(site, lines, run, findings);
    }
}

void tell_misclosures(const Site& site, const NetworkData& data, const Network& network,
                      Findings& findings) {
    for (std::size_t r = 0; r < data.runs.size(); ++r) {
        const RunData& run = data.runs[r];
        const RunModel& model = network.state.runs[r];
        const RunPlace place = place_of(network.problem, network.state, r);
        const RunLine line(model, place);
        if (const auto& from = data.nodes[run.from_node].structure) {
            tell_end(site, run, model.port_m, run.port_sd_from_m, *from, "start", findings);
        }
        if (run.to_node && data.nodes[*run.to_node].structure) {
            tell_end(site, run, line.at(run.x_end_m) - place.to_m, run.port_sd_to_m,
                     *data.nodes[*run.to_node].structure, "end", findings);
        }
        tell_strained_scale(site, run, model.own_scale, place.reel_scale, findings);
    }
    for (std::size_t i = 0; i < data.nodes.size(); ++i) {
        Eigen::Vector2d at = network.state.shared.segment<2>(shared_of_node(static_cast<int>(i)));
        if (const auto& receiver = data.nodes[i].receiver) {
            at += network.state.shared.segment<2>(shared_of_receiver(data, *receiver));
        }
        tell_moved(site, data.nodes[i], at, findings);
    }
}

void tell_sticks(const Site& site, const Lines& lines, Findings& findings) {
    for (std::size_t r = 0; r < site.runs.size(); ++r) {
        const auto off = sticks_contradicted(site.runs[r], lines.runs[r].scale);
        if (!off) continue;
        tell_off(at_run(site.runs[r].id),
                 fmt::format("Positions and reel make this run {:.1f} % {} than the typed length "
                             "of its sticks does.",
                             100.0 * std::abs(std::expm1(*off)), *off > 0.0 ? "longer" : "shorter"),
                 "Check the length of the sticks: 10 ft and 3 m, or 5 ft and 1.5 m, are easily "
                 "taken for each other. Leave it empty if it is not known. The bounds of this "
                 "run's length reach both.",
                 findings);
    }
}

}  // namespace sondeline::alignment
