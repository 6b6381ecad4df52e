#include "survey/place_notes.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "survey/noted_ends.hpp"

namespace sondeline {

namespace {

// Places of a note along its run.
struct NotePlace {
    std::optional<double> from_m;
    std::optional<double> to_m;
};

NotePlace place_of(const Note& note, const ReelReading& reel) {
    NotePlace place;
    if (note.counter) place.from_m = x_of_counter(reel, note.counter->value);
    if (!note.counter && note.video_time_s) {
        place.from_m = x_of_video_time(reel, note.video_time_s->value);
    }
    if (note.to_counter) place.to_m = x_of_counter(reel, note.to_counter->value);
    if (place.from_m && place.to_m && *place.to_m < *place.from_m) {
        std::swap(place.from_m, place.to_m);
    }
    return place;
}

Where at_note(const Note& note) {
    Where where = where_is(note.source);
    where.run = note.run.text;
    return where;
}

std::string name_of(const Note& note) {
    return note.what.empty() ? "This note" : fmt::format("The note \"{}\"", note.what);
}

void tell_left_out(const Note& note, const OutsideRun& outside, Findings& findings) {
    findings.push_back(
        {Severity::caution, at_note(note),
         fmt::format("{} lies {}. It is neither drawn nor priced.", name_of(note), outside.how_far),
         outside.what_to_do, Consequence::input_rejected});
}

void tell_cut(const Note& note, const OutsideRun& outside, Findings& findings) {
    findings.push_back(
        {Severity::caution, at_note(note),
         fmt::format("{} reaches {}. It is drawn where it begins, without its length.",
                     name_of(note), outside.how_far),
         "Check both counters of the note and whether it belongs to another run.",
         Consequence::input_rejected});
}

// What of the place lies on the run; empty when nothing does. Of an end that does not fit the
// footage noted_ends tells.
std::optional<NotePlace> on_run(const Note& note, const ReelReading& reel, NotePlace place,
                                LengthUnit unit, Findings& findings) {
    const auto from = outside_run(reel, *place.from_m, unit);
    const auto to = place.to_m ? outside_run(reel, *place.to_m, unit) : std::nullopt;
    if (!from && !to) return place;
    if (const auto fits = end_fits(note, reel)) return *fits ? std::optional(place) : std::nullopt;
    if (from) {
        tell_left_out(note, *from, findings);
        return std::nullopt;
    }
    tell_cut(note, *to, findings);
    place.to_m.reset();
    return place;
}

}  // namespace

std::vector<SiteNote> place_notes(const Job& job, const std::vector<ReelReading>& reels,
                                  LengthUnit unit, Findings& findings) {
    std::vector<SiteNote> placed;
    std::vector<bool> misfiled(job.notes.size(), false);  // told with the end they belong to
    for (const MisfiledNotes& found : notes_of_another_run(job, reels)) {
        for (const std::size_t note : found.notes) misfiled[note] = true;
    }
    for (std::size_t i = 0; i < job.notes.size(); ++i) {
        if (misfiled[i]) continue;
        const Note& note = job.notes[i];
        const auto run = std::ranges::find(job.runs, note.run, &Run::id);
        const auto index = run - job.runs.begin();
        NotePlace place;
        if (run != job.runs.end()) place = place_of(note, reels[static_cast<std::size_t>(index)]);
        if (!place.from_m) {
            findings.push_back({Severity::info, at_note(note),
                                fmt::format("The note \"{}\" has no place along a run.", note.what),
                                "Give its run and the counter that was shown."});
            continue;
        }
        const auto kept =
            on_run(note, reels[static_cast<std::size_t>(index)], place, unit, findings);
        if (!kept) continue;
        placed.push_back({static_cast<int>(i), static_cast<int>(index), *kept->from_m, kept->to_m});
    }
    return placed;
}

}  // namespace sondeline
