#include <algorithm>
#include <thread>

#include <fmt/format.h>

#include "sondeline/service.hpp"

#include "intake/note_kinds.hpp"
#include "pipeline/footage_date.hpp"
#include "pipeline/overlay_unit.hpp"
#include "pipeline/unchecked_tapes.hpp"
#include "service/kept_clocks.hpp"
#include "service/next_fixes.hpp"
#include "service/same_clips.hpp"
#include "service/slips.hpp"
#include "service/stand_ins.hpp"
#include "service/worth.hpp"
#include "terms/units.hpp"

namespace sondeline {

namespace {

void append(Findings& all, Findings more) {
    std::ranges::move(more, std::back_inserter(all));
}

// Opening a clip waits for the disk more than it works.
std::vector<HeaderCheck> all_headers(const Job& job) {
    std::vector<HeaderCheck> headers(job.footage.size());
    std::atomic<std::size_t> next{0};
    const auto work = [&] {
        for (std::size_t i = next++; i < headers.size(); i = next++) {
            headers[i] = check_headers(job.footage[i].path);
        }
    };
    const std::size_t workers = std::min<std::size_t>(4, headers.size());
    std::vector<std::jthread> others;
    for (std::size_t i = 1; i < workers; ++i) others.emplace_back(work);
    work();
    others.clear();
    return headers;
}

bool footage_is_read(const KnownSoFar& known, const RunId& id) {
    const auto run = std::ranges::find(known.job.runs, id, &Run::id);
    return run != known.job.runs.end() &&
           known.read[static_cast<std::size_t>(run - known.job.runs.begin())];
}

// Where only the footage can say where the fixes of a run are, nothing is known of its line yet.
bool line_must_wait(const KnownSoFar& known, const RunId& id) {
    bool any = false;
    for (std::size_t i = 0; i < known.job.fixes.size(); ++i) {
        if (known.job.fixes[i].run != id) continue;
        if (!known.fix_must_wait[i]) return false;
        any = true;
    }
    return any;
}

// What is said of a fix or run only because its footage is not read yet is not worth saying.
bool rests_on_unread_footage(const Finding& finding, const KnownSoFar& known) {
    if (finding.consequence == Consequence::run_not_measured) return true;
    for (std::size_t i = 0; i < known.job.fixes.size(); ++i) {
        const SourceCell& source = known.job.fixes[i].source;
        const bool same = source.file == finding.where.file && source.row == finding.where.row;
        if (same && known.fix_must_wait[i]) return true;
    }
    for (const Note& note : known.job.notes) {
        const bool same = note.source.file == finding.where.file &&
                          note.source.row == finding.where.row && finding.where.row > 0;
        if (same && is_end(note.category) && !footage_is_read(known, note.run)) return true;
    }
    for (std::size_t r = 0; r < known.job.runs.size(); ++r) {
        if (finding.where.run != known.job.runs[r].id.text || known.read[r]) continue;
        const bool of_run_as_a_whole = finding.where.file.empty() && !finding.where.station_m;
        if (finding.what.find("not measured") != std::string::npos ||
            (of_run_as_a_whole && line_must_wait(known, known.job.runs[r].id))) {
            return true;
        }
    }
    return false;
}

// What depths alone would show: water that somebody noted makes them show no more.
std::vector<DetectionLimit> limits_of_depths(const Fitted& fit, std::size_t r) {
    Lines alone;
    alone.structures = fit.lines.structures;
    alone.runs = {fit.lines.runs[r]};
    const auto water = [](const StationedVertical& seen) {
        return seen.row.kind == VerticalKind::still_water;
    };
    if (std::erase_if(alone.runs.front().vertical, water) == 0) return fit.profiles.runs[r].limits;
    return grade_lines(alone, fit.grade).runs.front().limits;
}

std::string belly_words(const std::vector<DetectionLimit>& limits, LengthUnit unit) {
    const auto limit = std::ranges::find_if(
        limits, [](const DetectionLimit& one) { return one.sag_m.has_value(); });
    if (limit == limits.end()) return "none would show";
    const std::string sag = unit == LengthUnit::metre
                                ? fmt::format("{:.0f} cm", 100.0 * *limit->sag_m)
                                : fmt::format("{:.0f} in", *limit->sag_m / inch_m);
    return fmt::format("{} over {}", sag, length_words(limit->width_m, unit, 0));
}

// Both the check and the adjustment look for units mixed up; a cell is told of once.
bool names_cell_of(const Finding& finding, const Findings& others) {
    return finding.where.row > 0 && std::ranges::any_of(others, [&](const Finding& other) {
               return other.where.file == finding.where.file &&
                      other.where.row == finding.where.row &&
                      other.where.column == finding.where.column;
           });
}

RunCheck run_check(const Job& job, const KnownSoFar& known, const Fitted& fit, std::size_t r) {
    RunCheck check;
    check.id = job.runs[r].id;
    check.clips = static_cast<int>(job.runs[r].footage.size());
    check.fixes = static_cast<int>(std::ranges::count(job.fixes, check.id, &Fix::run));
    check.footage_read = known.read[r];
    check.end_noted = known.end_noted[r];
    if (fit.site.runs[r].counter_length_m) check.reach_m = *fit.site.runs[r].counter_length_m;
    if (const auto worst = least_certain(fit.lines.runs[r])) check.worst_sd_m = worst->sd_m;
    check.belly_words = belly_words(limits_of_depths(fit, r), fit.site.job_unit);
    return check;
}

// The day of the clips, and the unit and clocks of the pictures that were read already.
Job with_what_footage_tells(Job job, const std::vector<HeaderCheck>& headers,
                            const std::optional<TrackCache>& cache) {
    const std::vector<ClipDay> days = known_days(job, headers, cache);
    const FromFootage day = footage_day(job.settings, days);
    const RunTracks tracks = known_so_far(job, cache).tracks;
    job = with_overlay_unit(std::move(job), tracks, day);
    append(job.findings, tell_other_days(job.settings, days, day));
    return with_kept_clocks(std::move(job), cache);
}

// Nothing in the tables says what a counter counts in.
void mention_open_unit(const Job& job, const KnownSoFar& known, Findings& findings) {
    const bool said =
        job.settings.length_unit || std::ranges::all_of(job.runs, [&](const Run& run) {
            const bool read = known.read[static_cast<std::size_t>(&run - job.runs.data())];
            return read || run.counter_unit.has_value();
        });
    if (said || job.fixes.empty()) return;
    findings.push_back({Severity::caution,
                        {},
                        "No table says what unit the counters show; only the footage may tell.",
                        "Write the row length unit with ft, us-ft or m in the job table.",
                        Consequence::none});
}

}  // namespace

SiteCheck check_job(const std::filesystem::path& folder, const std::optional<TrackCache>& cache) {
    Job job = read_job_folder(folder);
    const std::vector<HeaderCheck> headers = all_headers(job);
    job = with_what_footage_tells(std::move(job), headers, cache);
    const KnownSoFar known = known_so_far(job, cache);
    Site site = with_tapes_held_against_runs(settle_clocks(survey_site(known.job, known.tracks)));
    GradeOptions grade;  // notes of water make no depth show more
    grade.z_reference = site.z_reference;
    grade.unit = site.job_unit;
    grade.inclination_sign = job.settings.inclination_sign;
    const Fitted fit = fitted(std::move(site), grade);

    Findings findings = job.findings;
    append(findings, clip_slips(job, headers));
    append(findings, same_clips(job));
    append(findings, fix_slips(job, headers));
    const Findings depths = depth_slips(job);
    append(findings, depths);
    append(findings, counter_slips(fit.site));
    mention_open_unit(job, known, findings);
    for (const Findings* later :
         {&fit.site.findings, &fit.lines.findings, &fit.profiles.findings}) {
        for (const Finding& finding : *later) {
            if (rests_on_unread_footage(finding, known) || names_cell_of(finding, depths)) continue;
            findings.push_back(finding);
        }
    }

    SiteCheck check;
    check.site = job.settings.site;
    check.job_unit = fit.site.job_unit;
    for (std::size_t r = 0; r < job.runs.size(); ++r) {
        check.runs.push_back(run_check(job, known, fit, r));
    }
    for (Suggestion& more : next_fixes(fit)) check.next_fixes.push_back(std::move(more.words));
    check.findings = worth_telling(std::move(findings));
    check.to_do = in_order_of_worth(check.findings, check.next_fixes, check.job_unit);
    return check;
}

}  // namespace sondeline
