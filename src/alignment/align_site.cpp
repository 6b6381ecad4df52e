#include <algorithm>
#include <cmath>

#include "alignment/doubted_positions.hpp"
#include "alignment/exchanged_footage.hpp"
#include "alignment/fix_results.hpp"
#include "alignment/fixes_apart.hpp"
#include "alignment/publish_run.hpp"
#include "alignment/rejection.hpp"
#include "alignment/slipped_starts.hpp"
#include "alignment/swing_ties.hpp"
#include "alignment/tell.hpp"
#include "alignment/unmet_starts.hpp"
#include "alignment/unreached_ends.hpp"
#include "alignment/verdicts.hpp"

namespace sondeline {
namespace alignment {
namespace {

constexpr double told_by_data_below = 0.75;  // of the spread known beforehand

// Positions taken one after another with one receiver share part of their error, which the fit
// takes for the pipe's own way and no residual shows. With a correlation r between neighbours the
// variance of what many of them tell is (1 + r)/(1 − r) times as large (first-order
// autoregression); r = 1/6: common practice, no source. It enters the bounds only.
constexpr double neighbours_share = (1.0 + 1.0 / 6.0) / (1.0 - 1.0 / 6.0);

// The adjusted job with everything needed to publish it.
struct Adjusted {
    NetworkData data;
    Network network;
    std::vector<AccuracyGroup> accuracies;
    Linearised at;
    Eigen::MatrixXd shared_covariance;
    std::vector<AdjustedRun> runs;  // as NetworkData::runs
    Standings standings;
};

// Fills in place: the network points into `data`, so an Adjusted must not be moved afterwards.
void adjust(const Site& site, Adjusted& out) {
    out.data = observed_on(site);
    settle_sides(site, out.data);
    out.network = adjust_network(out.data);
    take_off_common_shift(site, out.data, out.network);
    leave_out_unmet_starts(site, UnmetStarts::at_another_structure, out.data, out.network);
    settle_starts(site, SettledStarts::no_other_run_meets, out.data, out.network);
    leave_out_doubted_positions(site, out.data, out.network);
    settle_starts(site, SettledStarts::others_meet, out.data, out.network);
    leave_out_unreached_ends(site, out.data, out.network);
    leave_out_unmet_starts(site, UnmetStarts::all, out.data, out.network);
    orient_reading_errors(out.network, out.data);
    out.accuracies = judged_accuracies(out.network);
    if (use_accuracies(out.accuracies, out.data)) {
        reconsider_bends(out.data, out.network);
        out.accuracies = judged_accuracies(out.network);
        orient_reading_errors(out.network, out.data);
        use_accuracies(out.accuracies, out.data);
    }
    const std::vector<std::vector<Candidate>> pools = settle_verdicts(out.data, out.network);
    mark_rejected_headings(out.network, out.data);
    finish_plain(out.network);
    allow_for_shared_errors(out.data, neighbours_share);
    out.at = linearise(out.network.problem, out.network.state, {.fixes = FixLoss::plain});
    out.shared_covariance = shared_covariance(out.network, out.at);
    std::vector<double> worst;
    for (std::size_t r = 0; r < out.data.runs.size(); ++r) {
        out.runs.push_back(adjusted_run(out.network, out.at, r, pools[r]));
        worst.push_back(out.runs.back().worst_sd_m);
    }
    out.standings = standings_of(out.data, out.network, out.at, worst);
    allow_for_shared_errors(out.data, 1.0 / neighbours_share);
}

// No reel is so far off as this: such a scale was torn by positions that contradict the counters,
// and says nothing. What is known of reels beforehand then stands in.
constexpr double torn_in_sds = 3.0;

ReelState reel_state(const Adjusted& job, int reel) {
    const int at = shared_of_reel(job.data, reel);
    const ReelState state{job.network.state.shared(at), job.shared_covariance(at, at)};
    if (std::abs(state.log_scale) <= torn_in_sds * reel_scale_sd) return state;
    return {0.0, reel_scale_sd * reel_scale_sd};
}

// The depth of a fix that was taken over another run says nothing of this one.
void leave_out_depths_of_other_runs(Lines& lines) {
    const auto of_another_run = [&](const StationedVertical& seen) {
        return seen.row.fix >= 0 &&
               lines.fixes[static_cast<std::size_t>(seen.row.fix)].of_another_run;
    };
    for (AlignedRun& run : lines.runs) std::erase_if(run.vertical, of_another_run);
}

std::vector<ReelScale> published_reels(const Adjusted& job) {
    std::vector<ReelScale> out;
    for (std::size_t j = 0; j < job.data.reels.size(); ++j) {
        const ReelState state = reel_state(job, static_cast<int>(j));
        const double sd = std::sqrt(state.variance);
        const double scale = std::exp(state.log_scale);
        out.push_back(
            {job.data.reels[j], {scale, scale * sd}, sd < told_by_data_below * reel_scale_sd});
    }
    return out;
}

// A structure held by runs alone is as uncertain as their models make it.
StructureDoubt doubt_of_runs(int node, const Adjusted& job) {
    StructureDoubt sum;
    const auto add = [&](const StructureDoubt& more) {
        sum.shift_m += more.shift_m;
        sum.more_m2 += more.more_m2;
    };
    for (std::size_t r = 0; r < job.data.runs.size(); ++r) {
        if (job.data.runs[r].from_node == node) add(job.runs[r].doubts.start);
        if (job.data.runs[r].to_node == node) add(job.runs[r].doubts.end);
    }
    return sum;
}

void widen(PlanCovariance& cov, double sd_m) {
    cov.ee += sd_m * sd_m;
    cov.nn += sd_m * sd_m;
}

AlignedStructure published_structure(const Site& site, const SiteStructure& structure,
                                     std::optional<int> node, const Adjusted& job) {
    const bool doubted = node && job.data.nodes[*node].doubted;
    const bool surveyed = structure.surveyed && !doubted;
    AlignedStructure out{structure.id, structure.kind, structure.surveyed, structure.how_fixed};
    if (doubted) out.plan.reset();
    if (!node || !job.standings.node_known[*node]) {
        if (!surveyed) out.how_fixed = "not known";
        // What no run meets has nobody to tell its receiver's offset.
        if (out.plan && structure.receiver && !node) {
            widen(out.plan->cov, site.receivers[*structure.receiver].offset_sd_m);
        }
        return out;
    }
    const int at = shared_of_node(*node);
    Eigen::Matrix2d c = job.shared_covariance.block<2, 2>(at, at);
    Eigen::Vector2d p = job.network.state.shared.segment<2>(at);
    if (!surveyed) {
        const StructureDoubt doubt = doubt_of_runs(*node, job);
        p += doubt.shift_m;
        c += doubt.more_m2;
    }
    if (!(long_axis_m(c) <= worst_drawn_sd_m)) return out;
    out.plan = PlanFix{{p.x(), p.y()}, {c(0, 0), c(0, 1), c(1, 1)}};
    if (doubted) {
        out.how_fixed = "by the runs that meet there; what was measured contradicts them";
    } else if (!surveyed) {
        out.how_fixed = job.data.nodes[*node].surveyed
                            ? "by two tapes, the side told by the runs that meet there"
                            : "by the runs that meet there";
    }
    return out;
}

// The whole site is off by the same unknown amount: what its one receiver was off by.
void add_common_offset(double sd_m, const NetworkData& data, Lines& lines) {
    const double variance = sd_m * sd_m;
    for (AlignedRun& run : lines.runs) {
        for (LinePoint& point : run.points) widen(point.cov, sd_m);
        const Eigen::Index size = run.covariance.rows();
        for (Eigen::Index i = 0; i < size; ++i) {
            for (Eigen::Index j = i % 2; j < size; j += 2) run.covariance(i, j) += variance;
        }
    }
    for (std::size_t i = 0; i < lines.structures.size(); ++i) {
        AlignedStructure& structure = lines.structures[i];
        if (structure.plan && data.node_of_structure[i]) widen(structure.plan->cov, sd_m);
    }
}

void publish_structures(const Site& site, const Adjusted& job, Lines& lines) {
    for (std::size_t i = 0; i < site.structures.size(); ++i) {
        lines.structures.push_back(
            published_structure(site, site.structures[i], job.data.node_of_structure[i], job));
    }
}

bool both_ends_known(const SiteRun& run, const Lines& lines) {
    return run.from && run.to && run.from != run.to && lines.structures[*run.from].plan &&
           lines.structures[*run.to].plan;
}

void publish_runs(const Site& site, const Adjusted& job, Lines& lines) {
    for (std::size_t r = 0; r < site.runs.size(); ++r) {
        const SiteRun& run = site.runs[r];
        const ReelState reel = reel_state(job, job.data.reel_of_run[r]);
        if (const std::optional<int> held = job.data.data_of_run[r]) {
            const bool ends = job.data.runs[*held].to_node &&
                              !job.data.runs[*held].starts_elsewhere && both_ends_known(run, lines);
            lines.runs.push_back(published(site, job.data.runs[*held], job.runs[*held],
                                           job.standings.runs[*held], reel, ends));
            continue;
        }
        lines.runs.push_back(published_length_only(run, reel));
        lines.runs.back().why_not_placed.reason = no_fix_words(site, run.id) + ".";
        if (!run.stops_short && both_ends_known(run, lines)) {
            draw_inferred(
                lines.runs.back(),
                {lines.structures[*run.from].plan->at, lines.structures[*run.to].plan->at}, site);
        }
    }
}

}  // namespace
}  // namespace alignment

Lines align_site(const Site& site) {
    using namespace alignment;
    Adjusted job;
    adjust(site, job);
    Lines lines;
    publish_structures(site, job, lines);
    publish_runs(site, job, lines);
    lines.fixes = fix_results(site, job.data, job.network, lines);
    leave_out_depths_of_other_runs(lines);
    lines.reels = published_reels(job);
    if (job.data.common_offset_m) add_common_offset(*job.data.common_offset_m, job.data, lines);
    lines.findings = job.data.findings;
    tell_receivers(site, job.data, job.network, job.shared_covariance, lines.findings);
    tell_fixes(site, lines, lines.findings);
    tell_accuracies(site, job.accuracies, lines.findings);
    tell_misclosures(site, job.data, job.network, lines.findings);
    tell_unnamed_ends(site, lines, lines.findings);
    tell_exchanged_footage(site, lines, lines.findings);
    tell_sticks(site, lines, lines.findings);
    tell_placement(site, lines, lines.findings);
    return lines;
}

}  // namespace sondeline
