#include <algorithm>

#include "pipeline/copied_clips.hpp"
#include "pipeline/footage_date.hpp"
#include "pipeline/footage_start.hpp"
#include "pipeline/heights_read_once.hpp"
#include "pipeline/outcome.hpp"
#include "pipeline/overlay_unit.hpp"
#include "pipeline/read_tracks.hpp"
#include "pipeline/setups_apart.hpp"
#include "pipeline/taped_crowns.hpp"
#include "pipeline/tapes_together.hpp"
#include "pipeline/unchecked_tapes.hpp"

namespace sondeline {

namespace {

void append(Findings& all, const Findings& more) {
    all.insert(all.end(), more.begin(), more.end());
}

// The severity of standing water may be given as its depth, "1 in"; a bare number says nothing.
std::optional<double> stated_depth_m(const std::string& severity) {
    const auto depth_m = parse_length_m(severity, 0.0);
    return depth_m && *depth_m > 0.0 ? depth_m : std::nullopt;
}

// A note that water stands in the pipe, as grade takes it.
std::vector<NotedWater> noted_water(const Job& job, const Site& site) {
    std::vector<NotedWater> waters;
    for (const SiteNote& placed : site.notes) {
        const Note& note = job.notes[static_cast<std::size_t>(placed.note)];
        if (note.category != NoteCategory::standing_water || placed.run < 0) continue;
        NotedWater water;
        water.run = placed.run;
        water.from_x_m = placed.x_m;
        water.to_x_m = placed.to_x_m;
        water.depth_m = stated_depth_m(note.severity);
        water.words = note.severity.empty() ? note.what : note.what + ", " + note.severity;
        waters.push_back(std::move(water));
    }
    return waters;
}

Findings all_findings(const Job& job, const std::vector<Track>& tracks, const RunTracks& joined,
                      const Site& site, const Lines& lines, const Profiles& profiles,
                      const Appraisal& appraisal) {
    Findings all = job.findings;
    for (const Track& track : tracks) append(all, track.findings);
    for (const Run& run : job.runs) {
        const auto track = joined.find(run.id);
        if (track == joined.end()) continue;
        for (Finding finding : track->second.findings) {
            if (finding.where.run.empty()) finding.where.run = run.id.text;
            all.push_back(std::move(finding));
        }
    }
    append(all, site.findings);
    append(all, lines.findings);
    append(all, profiles.findings);
    append(all, tell_setups_apart(job, site, profiles.heights_not_used));
    append(all, appraisal.findings);
    std::ranges::stable_sort(all, std::greater{}, &Finding::severity);
    return all;
}

// As the job table asks, else the usual practice.
QuantityOptions digging(const JobSettings& settings) {
    QuantityOptions options;
    if (!settings.depth_bands_m.empty()) {
        options.band_limits_m = settings.depth_bands_m;
        options.band_source = "the job table";
    }
    options.trench_width_m = settings.trench_width_m.value_or(options.trench_width_m);
    options.side_slope = settings.trench_side_slope.value_or(options.side_slope);
    return options;
}

void stop_if_asked(const ProcessOptions& options) {
    if (options.stop.stop_requested()) throw Stopped();
}

}  // namespace

Outcome process_job(const std::filesystem::path& folder, const TrackReader& read,
                    const ProcessOptions& options) {
    Job job = read_job_folder(folder);
    const std::vector<Track> tracks = with_typed_points(job, read_tracks(job, read, options));
    RunTracks joined = join_tracks(job, tracks);
    const FromFootage day = footage_day(job.settings, clip_days(tracks));
    job = with_overlay_unit(std::move(job), joined, day);
    leave_out_copied_clips(tracks, job, joined);
    append(job.findings, tell_other_days(job.settings, clip_days(tracks), day));
    job = with_footage_start(std::move(job), tracks);
    const Site site = with_tapes_held_against_runs(settle_clocks(survey_site(job, joined)));
    stop_if_asked(options);
    Lines lines = align_site(site);
    const auto together = doubt_tapes_together(site.job_unit, lines);
    if (!together) doubt_taped_crowns(site.job_unit, lines);
    stop_if_asked(options);
    GradeOptions grade;
    grade.z_reference = site.z_reference;
    grade.read_once = heights_read_once(job, site);
    grade.unit = site.job_unit;
    grade.noted_water = noted_water(job, site);
    grade.inclination_sign = job.settings.inclination_sign;
    grade.design_flow_m3_per_s = job.settings.design_flow_m3_per_s;
    Profiles profiles = grade_lines(lines, grade);
    if (together) reach_both(*together, lines, profiles);
    const Appraisal appraisal = appraise(job, site, lines, profiles, digging(job.settings));
    stop_if_asked(options);
    const Findings findings = all_findings(job, tracks, joined, site, lines, profiles, appraisal);

    Outcome outcome = summarise(job, site, lines, profiles, appraisal, findings);
    outcome.out = options.out.empty() ? folder / "asbuilt" : options.out;
    if (job.runs.empty() && job.inputs.empty() && job.footage.empty()) {
        outcome.exit_code = 3;
        outcome.error = "There is no footage and no table in this folder, so nothing was written.";
        return outcome;
    }
    try {
        append(outcome.findings,
               write_deliverables({job, tracks, joined, site, lines, profiles, appraisal, findings,
                                   std::string(program_version())},
                                  outcome.out, {options.pdf_program}));
    } catch (const OutputError& error) {
        outcome.exit_code = 3;
        outcome.error = error.text;
    }
    return outcome;
}

}  // namespace sondeline
