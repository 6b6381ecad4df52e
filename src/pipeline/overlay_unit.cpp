#include "pipeline/overlay_unit.hpp"

#include <algorithm>

namespace sondeline {

namespace {

struct Shown {
    bool feet = false;
    bool metres = false;

    bool one_kind() const { return feet != metres; }
    LengthUnit unit() const { return feet ? LengthUnit::foot : LengthUnit::metre; }
};

Shown shown_by(const RunTracks& tracks) {
    Shown shown;
    for (const auto& [run, track] : tracks) {
        if (track.unit == CounterUnit::metre) shown.metres = true;
        if (track.unit == CounterUnit::foot || track.unit == CounterUnit::feet_and_inches) {
            shown.feet = true;
        }
    }
    return shown;
}

bool needs_shown_unit(const Job& job, const Shown& shown) {
    if (!shown.one_kind()) return false;
    const auto& stated = job.settings.length_unit;
    return job.unit_open || (stated && shown.metres != (*stated == LengthUnit::metre));
}

void tell_both(Job& job) {
    Finding finding;
    finding.severity = Severity::problem;
    finding.consequence = Consequence::input_rejected;
    finding.what =
        "Some counters of this job show feet and some metres, and the tables hold lengths "
        "without a unit. They were read as metres, which may be wrong by a factor of 3.28.";
    finding.what_to_do = "Write the row length unit with ft, us-ft or m in the job table.";
    job.findings.push_back(std::move(finding));
}

}  // namespace

Job with_overlay_unit(Job job, const RunTracks& tracks, const FromFootage& day) {
    const Shown shown = shown_by(tracks);
    FromFootage footage = day;
    if (needs_shown_unit(job, shown)) footage.unit = shown.unit();
    if (footage.unit || !footage.date.empty()) job = read_job_folder_with(job.folder, footage);
    if (job.unit_open && !footage.unit && shown.feet && shown.metres) tell_both(job);
    return job;
}

}  // namespace sondeline
