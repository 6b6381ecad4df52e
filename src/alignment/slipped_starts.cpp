#include "alignment/slipped_starts.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

#include <fmt/format.h>

#include "alignment/phrases.hpp"
#include "alignment/unmet_starts.hpp"

namespace sondeline::alignment {
namespace {

constexpr double telling_m = 0.3;
constexpr double telling_sd = 3.0;
constexpr double least_way_m = 0.5;
constexpr double one_in_twenty = 5.89;  // 2 ln 19

// Minus twice the logarithm of the odds beforehand, and for a slip of unknown size of the room it
// has: 6 m, in which 0.1 m is told.
constexpr double doubted_costs = 0.0;
constexpr double footage_begins_there_costs = one_in_twenty;
constexpr double any_slip_costs = 9.19 + 6.35;

double off_sd_m(const PositionDatum& datum) {
    return std::hypot(datum.sd_m, datum.station_sd_m);
}

RunData moved(RunData run, double by_m) {
    run.x_end_m -= by_m;
    for (PositionDatum& datum : run.positions) datum.x_m -= by_m;
    for (HeadingDatum& datum : run.headings) datum.x_m -= by_m;
    for (LikelyBend& bend : run.likely_bends) bend.x_m -= by_m;
    std::erase_if(run.likely_bends, [&](const LikelyBend& bend) {
        return bend.x_m < bend_clear_of_start_m || bend.x_m > run.x_end_m - bend_clear_of_end_m;
    });
    return run;
}

// By how much the counter goes further than the straight way to the first believed position. Start
// and counter as they stand beforehand: a run that slipped has pulled both along.
std::optional<Estimate> surplus_m(const NetworkData& data, const Network& network, std::size_t r) {
    const RunData& run = data.runs[r];
    const RunLine line = line_of(network, r);
    const Eigen::Vector2d start_m =
        data.nodes[static_cast<std::size_t>(run.from_node)].surveyed->mean_m;
    for (const PositionDatum& datum : run.positions) {
        if (datum.x_m < least_way_m || state_of(datum, line).outlier_probability > 0.5) continue;
        const double surplus = datum.x_m * run.plan_factor - (datum.at_m - start_m).norm();
        const Estimate by_m{surplus, off_sd_m(datum)};
        const bool telling = std::abs(surplus) > std::max(telling_m, telling_sd * by_m.sd);
        return telling ? std::optional(by_m) : std::nullopt;
    }
    return std::nullopt;
}

bool start_known_without(const NetworkData& data, std::size_t r) {
    const Node& node = data.nodes[static_cast<std::size_t>(data.runs[r].from_node)];
    return node.structure && node.surveyed && !node.doubted && !data.runs[r].starts_elsewhere;
}

// By how much more probable the run is with all its places moved.
double gain_of(const LoneRun& lone, double as_it_stands, double by_m) {
    const RunData run = moved(*lone.problem.runs[0], by_m);
    if (!(run.x_end_m > least_way_m)) return -std::numeric_limits<double>::infinity();
    Problem problem = lone.problem;
    problem.runs = {&run};
    const Candidate found =
        search_run(problem, lone.state, {.start = true, .end = run.to_node.has_value()});
    return as_it_stands - found.score;
}

struct Slip {
    double by_m = 0.0;
    double sd_m = 0.0;
    double gain = -std::numeric_limits<double>::infinity();
    bool by_footage = false;  // the footage begins there
};

Slip likeliest_slip(const Site& site, const NetworkData& data, const Network& network,
                    std::size_t r) {
    const SiteRun& pushed = site.runs[static_cast<std::size_t>(data.runs[r].run)];
    const std::optional<Estimate> surplus = surplus_m(data, network, r);
    const bool elsewhere = pushed.start_doubt_m != 0.0;
    Slip best;
    if (!surplus && !elsewhere) return best;
    const LoneRun lone = lone_run(network, linearise(network.problem, network.state, {}), r);
    const double score = converged(lone.problem, lone.state, FixLoss::mixture).score;
    const auto try_slip = [&](const Estimate& by_m, double costs, bool by_footage) {
        const double gain = gain_of(lone, score, by_m.value) - costs;
        if (gain > best.gain) best = {by_m.value, by_m.sd, gain, by_footage};
    };
    if (elsewhere) {
        try_slip({pushed.start_doubt_m, pushed.tick_m},
                 pushed.start_assumed ? doubted_costs : footage_begins_there_costs, true);
    }
    if (surplus) try_slip(*surplus, any_slip_costs, false);
    return best;
}

// So much may be left to the bounds of the length; more makes them useless.
constexpr double withheld_from_m = 1.0;

const std::string& start_name(const Site& site, const SiteRun& run) {
    return site.structures[static_cast<std::size_t>(*run.from)].id.text;
}

std::string see_the_start(const std::string& start) {
    return fmt::format(
        "See in the footage what the counter shows with the lens at {} and write it under counter "
        "at start. Look too whether the counter was set to zero elsewhere, as at a lid, whether "
        "the fixes have the counters of their own rows, and at the position of {}.",
        start, start);
}

Where at_start(const SiteRun& run) {
    Where where = at_run(run.id);
    where.file = "runs";
    where.column = "counter at start";
    return where;
}

Finding slipped(const Site& site, const SiteRun& run, const Slip& slip) {
    const std::string& start = start_name(site, run);
    std::string what = fmt::format(
        "By its fixes the counter showed {} (give or take {}) {} at the start of this run than was "
        "taken for it. The run was not held to start at {}.",
        length_words(std::abs(slip.by_m), site.job_unit, 1),
        length_words(normal_95 * slip.sd_m, site.job_unit, 1), slip.by_m > 0.0 ? "more" : "less",
        start);
    if (run.counter_length_m) {
        const double length_m = *run.counter_length_m - slip.by_m;
        const double counter_sd = std::hypot(reel_scale_sd, own_scale_sd);
        what += fmt::format(
            " Counted from there it would be {} long, give or take {}; until it is known where it "
            "starts {}.",
            length_words(length_m, site.job_unit, 1),
            length_words(normal_95 * std::hypot(slip.sd_m, length_m * counter_sd), site.job_unit,
                         1),
            std::abs(slip.by_m) > withheld_from_m ? "its length is withheld"
                                                  : "the bounds of its length reach both");
    }
    return {Severity::problem, at_start(run), std::move(what), see_the_start(start),
            Consequence::input_rejected};
}

Finding may_have_slipped(const Site& site, const SiteRun& run, const Slip& slip) {
    const std::string& start = start_name(site, run);
    return {Severity::caution, at_start(run),
            fmt::format("The counter goes {} {} than the straight way from {} to the first fixes "
                        "of this run. {}, or the counter showed something else at the start than "
                        "was taken for it: the bounds of the length reach both.",
                        length_words(std::abs(slip.by_m), site.job_unit, 1),
                        slip.by_m > 0.0 ? "further" : "less far", start,
                        slip.by_m > 0.0 ? "The pipe bends on the way" : "A position is off"),
            see_the_start(start), Consequence::none};
}

}  // namespace

void settle_starts(const Site& site, SettledStarts which, NetworkData& data, Network& network) {
    for (std::size_t r = 0; r < data.runs.size(); ++r) {
        if (!start_known_without(data, r)) continue;
        if (others_meet_start(data, r) != (which == SettledStarts::others_meet)) continue;
        const SiteRun& pushed = site.runs[static_cast<std::size_t>(data.runs[r].run)];
        const Slip slip = likeliest_slip(site, data, network, r);
        if (slip.gain < -one_in_twenty) {
            data.runs[r].start_borne_out = std::isfinite(slip.gain);
            continue;
        }
        const bool likelier = slip.gain > 0.0;
        if (likelier) {
            data = with_free_start(data, r);
            data.runs[r].start_unknown = std::abs(slip.by_m) > withheld_from_m;
            network = adjust_network(data);
            data.findings.push_back(slipped(site, pushed, slip));
        } else if (!slip.by_footage) {
            data.findings.push_back(may_have_slipped(site, pushed, slip));
        }
        data.runs[r].start_off_m = std::abs(slip.by_m);
    }
}

}  // namespace sondeline::alignment
