#include <algorithm>

#include "survey/exchanged_ends.hpp"
#include "survey/kind_doubts.hpp"
#include "survey/mirrored_positions.hpp"
#include "survey/noted_ends.hpp"
#include "survey/overrun_ends.hpp"
#include "survey/place_notes.hpp"
#include "survey/receivers.hpp"
#include "survey/site_runs.hpp"
#include "survey/structure_doubts.hpp"
#include "survey/swapped_columns.hpp"
#include "survey/tape_units.hpp"
#include "survey/ties.hpp"
#include "survey/turned_headings.hpp"
#include "survey/unit_slips.hpp"

namespace sondeline {

namespace {

constexpr double default_position_sd_m = 0.15;

SiteStructure site_structure(const Structure& typed, const SiteFrame& frame,
                             const Receivers& receivers, Findings& findings) {
    SiteStructure structure;
    structure.id = typed.id;
    structure.kind = typed.kind;
    structure.how_fixed = "not surveyed";
    if (!typed.position) return structure;
    const auto place = local_from_typed(frame, *typed.position, findings);
    if (!place) return structure;
    const double sd_m = typed.h_accuracy_m && typed.h_accuracy_m->value > 0.0
                            ? typed.h_accuracy_m->value
                            : default_position_sd_m;
    structure.surveyed = PlanFix{*place, {sd_m * sd_m, 0.0, sd_m * sd_m}};
    structure.receiver = receivers.of(typed.receiver);
    structure.how_fixed =
        typed.position->geographic ? "surveyed, lon and lat" : "surveyed, x and y";
    return structure;
}

void give_ground(const Job& job, const GroundSources& sources,
                 std::vector<SiteStructure>& structures, Findings& findings) {
    for (std::size_t i = 0; i < structures.size(); ++i) {
        const Structure& typed = job.structures[i];
        const std::optional<double> sd_m = typed.v_accuracy_m && typed.v_accuracy_m->value > 0.0
                                               ? std::optional(typed.v_accuracy_m->value)
                                               : std::nullopt;
        const std::optional<PlanPoint> place =
            structures[i].surveyed ? std::optional(structures[i].surveyed->at) : std::nullopt;
        const GroundAt ground =
            ground_at(sources, typed.id.text, typed.ground_m, sd_m, place, findings);
        structures[i].ground_m = ground.elevation_m;
        structures[i].ground_source = ground.source;
    }
}

ZReference z_reference_of(const Job& job, const Site& site) {
    const bool any_ground =
        std::ranges::any_of(site.structures,
                            [](const auto& s) { return s.ground_m.has_value(); }) ||
        std::ranges::any_of(site.fixes, [](const auto& f) { return f.ground_m.has_value(); });
    if (any_ground) {
        return heights_are_local(job.settings) ? ZReference::benchmark : ZReference::elevation;
    }
    const bool any_depth =
        std::ranges::any_of(site.runs, [](const SiteRun& run) { return !run.vertical.empty(); });
    if (!any_depth) return ZReference::none;
    return job.settings.level_ground ? ZReference::assumed_level_ground : ZReference::below_ground;
}

// What the counter places lies where the lens was, and a transmitter is heard where it is itself.
void tell_no_setback(const Job& job, const std::vector<SiteFix>& fixes, Findings& findings) {
    const bool heard = std::ranges::any_of(fixes, [](const SiteFix& fix) {
        return fix.method == FixMethod::sonde && fix.placing != FixPlacing::unplaced;
    });
    if (!heard || job.settings.sonde_setback_m != 0.0) return;
    Where where;
    where.file = "job";
    where.column = "sonde setback";
    findings.push_back(
        {Severity::caution, where,
         "How far the transmitter's centre sits behind the lens is not given, or given as 0: every "
         "fix was taken to lie below the lens itself. Whatever the footage shows is drawn too near "
         "the start of its run by as much as the transmitter really sits behind, and no bound "
         "holds that.",
         "Measure it on the head and write sonde setback in the job table, like 4 in."});
}

void leave_out_tapes(SiteRun& run) {
    std::erase_if(run.vertical, [](const VerticalObservation& row) {
        return row.kind == VerticalKind::taped_start || row.kind == VerticalKind::taped_end;
    });
}

LengthUnit job_unit_of(const Job& job, const RunTracks& tracks) {
    if (job.settings.length_unit) return *job.settings.length_unit;
    for (const Run& run : job.runs) {
        if (run.counter_unit) return *run.counter_unit;
        const auto track = tracks.find(run.id);
        if (track == tracks.end() || track->second.unit == CounterUnit::unknown) continue;
        return track->second.unit == CounterUnit::metre ? LengthUnit::metre : LengthUnit::foot;
    }
    return LengthUnit::metre;
}

}  // namespace

Site survey_site(const Job& job, const RunTracks& tracks) {
    Site site;
    Findings& findings = site.findings;
    const SiteFrame frame = choose_frame(job, findings);
    site.frame = frame.frame;
    site.job_unit = job_unit_of(job, tracks);

    LevelOptions levelling;
    levelling.assumed_elevation_m = 100.0 * metres_per(site.job_unit);
    levelling.unit = site.job_unit;
    const LevelNet levels = adjust_levels(job.levels, levelling, findings);
    site.level_closure_m = levels.closure_m;
    std::optional<Terrain> terrain;
    if (job.terrain) terrain = Terrain::open(*job.terrain, frame, findings);
    const GivenHeights given = given_heights(job, frame, findings);
    const GroundSources ground{levels, terrain, frame, given, site.job_unit};

    const Receivers receivers(job, findings);
    site.receivers = receivers.all();
    for (const Structure& typed : job.structures) {
        site.structures.push_back(site_structure(typed, frame, receivers, findings));
    }
    apply_ties(job, frame, levels, site.job_unit, site.structures, site.ties, findings);
    share_receivers_of_marks(site.ties, site.structures);
    give_ground(job, ground, site.structures, findings);

    std::vector<ReelReading> reels;
    for (const Run& run : job.runs) {
        const auto track = tracks.find(run.id);
        reels.push_back(read_reel(run, track == tracks.end() ? nullptr : &track->second,
                                  job.settings, findings));
    }
    tell_ends_noted_elsewhere(job, reels, findings);
    leave_out_exchanged_clips(job, reels);
    site.fixes = place_fixes({job, frame, reels, ground, receivers, site.job_unit}, findings);
    tell_no_setback(job, site.fixes, findings);
    leave_out_swapped_columns(job, frame, site.fixes, findings);
    leave_out_mirrored_positions(site.structures, site.fixes, site.ties, findings);
    leave_out_turned_headings(site.fixes, findings);
    const std::vector<int> exchanged =
        leave_out_exchanged_ends(job, reels, site.structures, site.fixes, findings);
    const std::vector<int> in_another_unit =
        leave_out_unit_slips(job, site.job_unit, site.fixes, findings);
    site.notes = place_notes(job, reels, site.job_unit, findings);
    site.runs = site_runs(
        {job, frame, reels, site.structures, site.fixes, site.notes, site.job_unit}, findings);
    leave_out_tapes_in_another_unit(job, site.job_unit, site.fixes, site.runs, findings);
    withhold_overrun_lengths(site.job_unit, site.structures, site.fixes, site.runs, findings);
    doubt_kinds(job, site.structures, site.runs, findings);
    tell_doubted_structures(job, findings);
    for (const int run : exchanged) leave_out_tapes(site.runs[static_cast<std::size_t>(run)]);
    for (const int run : in_another_unit) {
        leave_out_tapes(site.runs[static_cast<std::size_t>(run)]);
    }
    site.z_reference = z_reference_of(job, site);
    return site;
}

}  // namespace sondeline
