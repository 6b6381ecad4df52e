#include "pipeline/overlay_unit.hpp"

#include <algorithm>

namespace sondeline {

Job with_overlay_unit(Job job, const RunTracks& tracks) {
    const auto shows = [&](auto&& wanted) {
        return std::ranges::any_of(
            tracks, [&](const auto& run_and_track) { return wanted(run_and_track.second.unit); });
    };
    const bool metres = shows([](CounterUnit unit) { return unit == CounterUnit::metre; });
    const bool feet = shows([](CounterUnit unit) {
        return unit == CounterUnit::foot || unit == CounterUnit::feet_and_inches;
    });
    const auto& stated = job.settings.length_unit;
    if (stated && feet != metres && metres != (*stated == LengthUnit::metre)) {
        return read_job_folder(job.folder, feet ? LengthUnit::foot : LengthUnit::metre);
    }
    if (!job.unit_open) return job;
    if (feet && metres) {
        Finding finding;
        finding.severity = Severity::problem;
        finding.consequence = Consequence::input_rejected;
        finding.what =
            "Some counters of this job show feet and some metres, and the tables hold lengths "
            "without a unit. They were read as metres, which may be wrong by a factor of 3.28.";
        finding.what_to_do = "Write the row length unit with ft, us-ft or m in the job table.";
        job.findings.push_back(std::move(finding));
        return job;
    }
    if (!feet && !metres) return job;
    return read_job_folder(job.folder, feet ? LengthUnit::foot : LengthUnit::metre);
}

}  // namespace sondeline
