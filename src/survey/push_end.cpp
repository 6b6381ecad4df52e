#include "survey/push_end.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "survey/noted_ends.hpp"

namespace sondeline {

namespace {

constexpr std::size_t rows_that_tell = 2;

// Stations of what was written down of a run beyond the furthest reading.
struct Beyond {
    std::vector<double> x_m;
    bool end_noted = false;
};

void add(const MaybeCell<double>& counter, const ReelReading& reel, LengthUnit unit,
         Beyond& beyond) {
    const auto x_m = counter ? x_of_counter(reel, counter->value) : std::nullopt;
    if (x_m && *x_m > *reel.length_m && outside_run(reel, *x_m, unit)) beyond.x_m.push_back(*x_m);
}

Beyond written_beyond(const Job& job, const Run& run, const ReelReading& reel, LengthUnit unit) {
    Beyond beyond;
    for (const Fix& fix : job.fixes) {
        if (fix.run == run.id) add(fix.counter, reel, unit, beyond);
    }
    bool end_fits_footage = false;
    for (const Note& note : job.notes) {
        if (note.run != run.id) continue;
        const std::size_t before = beyond.x_m.size();
        add(note.counter, reel, unit, beyond);
        add(note.to_counter, reel, unit, beyond);
        const std::optional<bool> fits = end_fits(note, reel);
        end_fits_footage = end_fits_footage || fits == true;
        beyond.end_noted = beyond.end_noted || (fits == false && beyond.x_m.size() > before);
    }
    beyond.end_noted = beyond.end_noted && !end_fits_footage;
    std::ranges::sort(beyond.x_m);
    // Two rows of one place are one slip.
    beyond.x_m.erase(std::unique(beyond.x_m.begin(), beyond.x_m.end()), beyond.x_m.end());
    return beyond;
}

}  // namespace

bool end_is_told(const Job& job, const Run& run, const ReelReading& reel) {
    if (run.to || run.status == RunStatus::capped || !reel.length_m) return true;
    return std::ranges::any_of(job.notes, [&](const Note& note) {
        return note.run == run.id && end_fits(note, reel) == true;
    });
}

bool footage_ends_short(const Job& job, const Run& run, const ReelReading& reel, LengthUnit unit,
                        Findings& findings) {
    if (!reel.length_m) return false;
    const Beyond beyond = written_beyond(job, run, reel, unit);
    if (beyond.x_m.size() < rows_that_tell && !beyond.end_noted) return false;
    Where where = where_is(run.source);
    where.run = run.id.text;
    findings.push_back(
        {Severity::problem, where,
         fmt::format("Its footage ends {} from the start, but what was written down of it goes on "
                     "to {}. What is said of this run is said of the part filmed; the pipe beyond "
                     "was not measured.",
                     length_words(*reel.length_m, unit, 1),
                     length_words(beyond.x_m.back(), unit, 1)),
         "Add the clip that is missing, or push the run again to its end. Else correct the "
         "counters of its fixes and notes."});
    return true;
}

}  // namespace sondeline
