#include "survey/noted_ends.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "intake/note_kinds.hpp"

namespace sondeline {

namespace {

// Furthest counter as shown; empty when none was read. A counter that was set anew on the way shows
// one figure at two places and is not compared.
std::optional<double> furthest_shown(const ReelReading& reel) {
    if (reel.track == nullptr || !reel.track->first || !reel.track->furthest) return std::nullopt;
    const PushedReach& furthest = *reel.track->furthest;
    const double steps = 1.5 * reel.track->tick;
    // Before the run begins a counter may be set as one likes.
    const bool set_anew = std::ranges::any_of(reel.track->samples, [&](const PushSample& one) {
        if (!one.pushed || !one.sample.counter || *one.pushed <= reel.start + steps) return false;
        return std::abs((furthest.pushed - furthest.counter) -
                        (*one.pushed - *one.sample.counter)) > steps;
    });
    return set_anew || !reel.track->continuous ? std::nullopt : std::optional(furthest.counter);
}

// How far a counter that was read by eye and written down may lie from the one read off the
// footage, in its unit: a step of the counter for each, the eye, and half a unit where it was
// written without decimals.
double allowance(double noted, const ReelReading& reel) {
    constexpr double bound_in_sds = 1.96;
    const double by_eye = bound_in_sds * station_reading_sd_m / reel.metres_per_count.value_or(1.0);
    const double rounded = noted == std::floor(noted) ? 0.5 : 0.0;
    return 2.0 * reel.track->tick + by_eye + rounded;
}

bool goes_as_far(double noted, const ReelReading& reel) {
    const auto shown = furthest_shown(reel);
    return shown && std::abs(noted - *shown) <= allowance(noted, reel);
}

struct NotedEnd {
    const Note* note = nullptr;
    std::size_t run = 0;
    bool fits = false;
    std::optional<std::size_t> other;  // the run whose footage it fits instead
};

std::vector<NotedEnd> noted_ends(const Job& job, const std::vector<ReelReading>& reels) {
    std::vector<NotedEnd> ends;
    for (const Note& note : job.notes) {
        const auto run = std::ranges::find(job.runs, note.run, &Run::id);
        if (run == job.runs.end()) continue;
        const auto index = static_cast<std::size_t>(run - job.runs.begin());
        const auto fits = end_fits(note, reels[index]);
        if (fits) ends.push_back({&note, index, *fits, std::nullopt});
    }
    return ends;
}

bool any_fits(const std::vector<NotedEnd>& ends, std::size_t run) {
    return std::ranges::any_of(ends,
                               [&](const NotedEnd& end) { return end.run == run && end.fits; });
}

// Just one other run whose footage went so far, and whose own notes do not fit it.
std::optional<std::size_t> run_that_fits(const NotedEnd& end, const std::vector<NotedEnd>& ends,
                                         const std::vector<ReelReading>& reels) {
    std::optional<std::size_t> found;
    for (std::size_t i = 0; i < reels.size(); ++i) {
        if (i == end.run || !goes_as_far(end.note->counter->value, reels[i])) continue;
        if (found) return std::nullopt;
        found = i;
    }
    return found && any_fits(ends, *found) ? std::nullopt : found;
}

bool any_noted(const std::vector<NotedEnd>& ends, std::size_t run) {
    return std::ranges::any_of(ends, [&](const NotedEnd& end) { return end.run == run; });
}

// The note of each of two runs fits the footage of the other.
bool each_fits_the_other(const std::vector<NotedEnd>& ends, const NotedEnd& one) {
    return std::ranges::any_of(
        ends, [&](const NotedEnd& end) { return end.run == one.other && end.other == one.run; });
}

std::vector<NotedEnd> compared_ends(const Job& job, const std::vector<ReelReading>& reels) {
    std::vector<NotedEnd> ends = noted_ends(job, reels);
    for (NotedEnd& end : ends) {
        if (!end.fits) end.other = run_that_fits(end, ends, reels);
    }
    return ends;
}

// The notes written down in one row up to the one at `end`.
std::vector<std::size_t> written_up_to(const Job& job, std::size_t end) {
    std::vector<std::size_t> notes{end};
    for (std::size_t i = end; i-- > 0;) {
        const Note& note = job.notes[i];
        if (note.run != job.notes[end].run || is_end(note.category)) break;
        notes.insert(notes.begin(), i);
    }
    return notes;
}

Finding misfiled(const Job& job, const MisfiledNotes& found) {
    const Note& end = job.notes[found.end];
    const std::string& other = job.runs[found.other].id.text;
    Finding finding;
    finding.severity = Severity::caution;
    finding.where = where_is(end.source);
    finding.where.run = end.run.text;
    finding.where.column = "run";
    const auto before = found.notes.size() - 1;
    finding.what = fmt::format(
        "The note says that {} ends at {:g} on the counter, but its footage goes on and another "
        "note of its end fits. The footage of {} goes just that far: the note looks like one of "
        "{}{}. {} used.",
        end.run.text, end.counter->value, other, other,
        before == 0   ? ""
        : before == 1 ? ", and with it the one written down before it"
                      : fmt::format(", and with it the {} written down before it", before),
        before == 0 ? "It is not" : "They are not");
    finding.what_to_do =
        fmt::format("Write {} in the column run of {} if so; else correct the counter.", other,
                    before == 0 ? "this row" : "these rows");
    finding.consequence = Consequence::input_rejected;
    return finding;
}

Finding finding_of(const Job& job, const ReelReading& reel, const NotedEnd& end) {
    const std::string& run = job.runs[end.run].id.text;
    const double noted = end.note->counter->value;
    const double shown = *furthest_shown(reel);
    Finding finding;
    finding.severity = Severity::caution;
    finding.where = where_is(end.note->source);
    finding.where.run = run;
    finding.what = fmt::format(
        "The note says that the run ends at {:g} on the counter; in its footage the counter goes "
        "to {:g}.",
        noted, shown);
    const auto x_m = x_of_counter(reel, noted);
    if (x_m && outside_run(reel, *x_m, LengthUnit::metre)) {
        finding.what += " The note is not drawn.";
        finding.consequence = Consequence::input_rejected;
    }
    if (end.other) {
        const std::string& other = job.runs[*end.other].id.text;
        finding.what += fmt::format(
            " The footage of {} goes just as far as this note says: the clips of {} and {} may be "
            "exchanged.",
            other, run, other);
        finding.what_to_do = fmt::format(
            "Look at the clips of {} and {} and set the column footage of the runs right; until "
            "then take neither length for that of its pipe.",
            run, other);
    } else if (noted > shown) {
        finding.what_to_do =
            "If the head did reach the end, the run is longer than measured: add the missing clip, "
            "or push it again. Else correct the note.";
    } else {
        finding.what_to_do =
            "The length goes to the furthest reading: if the head went on past the end of the "
            "pipe, it is too long. Look at the footage there, or correct the note.";
    }
    return finding;
}

}  // namespace

std::optional<bool> end_fits(const Note& note, const ReelReading& reel) {
    if (!is_end(note.category) || !note.counter || !furthest_shown(reel)) return std::nullopt;
    return goes_as_far(note.counter->value, reel);
}

std::vector<MisfiledNotes> notes_of_another_run(const Job& job,
                                                const std::vector<ReelReading>& reels) {
    const std::vector<NotedEnd> ends = compared_ends(job, reels);
    std::vector<MisfiledNotes> found;
    for (const NotedEnd& end : ends) {
        if (!end.other || !any_fits(ends, end.run) || any_noted(ends, *end.other)) continue;
        const auto index = static_cast<std::size_t>(end.note - job.notes.data());
        found.push_back({index, written_up_to(job, index), *end.other});
    }
    return found;
}

void leave_out_exchanged_clips(const Job& job, std::vector<ReelReading>& reels) {
    const std::vector<NotedEnd> ends = compared_ends(job, reels);
    std::vector<std::size_t> runs;
    for (const NotedEnd& end : ends) {
        if (end.other && !any_fits(ends, end.run) && each_fits_the_other(ends, end)) {
            runs.push_back(end.run);
        }
    }
    for (const std::size_t run : runs) {
        const auto& start = job.runs[run].counter_at_start;
        ReelReading without;
        without.metres_per_count = reels[run].metres_per_count;
        if (start) without.start = start->value;
        without.length_m =
            withheld<double>("its clip looks exchanged with that of another run",
                             "Look at both clips and set the column footage of the runs right.");
        reels[run] = std::move(without);
    }
}

void tell_ends_noted_elsewhere(const Job& job, const std::vector<ReelReading>& reels,
                               Findings& findings) {
    for (const MisfiledNotes& found : notes_of_another_run(job, reels)) {
        findings.push_back(misfiled(job, found));
    }
    const std::vector<NotedEnd> ends = compared_ends(job, reels);
    for (auto end = ends.begin(); end != ends.end(); ++end) {
        const bool told = end->other && std::any_of(ends.begin(), end, [&](const NotedEnd& before) {
                              return before.run == end->other && before.other == end->run;
                          });
        if (told || any_fits(ends, end->run)) continue;
        Finding finding = finding_of(job, reels[end->run], *end);
        if (each_fits_the_other(ends, *end)) {
            finding.what += " Nothing that these two clips show was used.";
            finding.consequence = Consequence::run_not_measured;
        }
        findings.push_back(std::move(finding));
    }
}

}  // namespace sondeline
