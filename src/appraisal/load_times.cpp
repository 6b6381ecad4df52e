#include "appraisal/load_times.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/format.h>

namespace sondeline {

namespace {

constexpr double half_a_day_s = 12.0 * 3600.0;
// Clocks are written to the whole minute.
constexpr double minute_s = 60.0;
// Water in a box settles within minutes, and so do the levels of ports read one after the other
// (common practice, no source).
constexpr double one_moment_s = 10.0 * minute_s;

struct Filling {
    const LoadStep* start;
    const LoadStep* stop;
};

bool says(const LoadStep& step, std::string_view word) {
    std::string text = step.step + " " + step.note;
    std::ranges::transform(text, text.begin(),
                           [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return text.find(word) != std::string::npos;
}

bool is_level(const LoadStep& step) {
    return step.level_m && !step.point.empty();
}

// A level read "at the start" is the start only where no other row says so.
const LoadStep* step_that_says(const Job& job, std::string_view word) {
    const LoadStep* found = nullptr;
    for (const LoadStep& step : job.load_test) {
        if (!step.clock_s || !says(step, word)) continue;
        if (!is_level(step)) return &step;
        if (found == nullptr) found = &step;
    }
    return found;
}

// The first stop after the start; one of an earlier filling may stand above it. Else any stop.
const LoadStep* stop_of(const Job& job, const LoadStep* start) {
    const auto after = std::ranges::find_if(job.load_test, [&](const LoadStep& step) {
        return start != nullptr && step.clock_s && says(step, "stop") && !is_level(step) &&
               step.clock_s->value > start->clock_s->value;
    });
    return after == job.load_test.end() ? step_that_says(job, "stop") : &*after;
}

// A row that says that the water was turned on, or that it was stopped, and not both.
bool turns(const LoadStep& step, std::string_view word) {
    return step.clock_s && !is_level(step) && says(step, word) &&
           says(step, "start") != says(step, "stop");
}

// The water run again after `first`: each start with the stop that follows it.
std::vector<Filling> with_later_ones(const Job& job, Filling first) {
    std::vector<Filling> fillings{first};
    const auto next = [&](std::string_view word, double after_s) {
        const auto step = std::ranges::find_if(job.load_test, [&](const LoadStep& one) {
            return turns(one, word) && one.clock_s->value >= after_s;
        });
        return step == job.load_test.end() ? nullptr : &*step;
    };
    while (true) {
        const LoadStep* start = next("start", fillings.back().stop->clock_s->value);
        const LoadStep* stop =
            start == nullptr ? nullptr : next("stop", start->clock_s->value + minute_s);
        if (stop == nullptr) return fillings;
        fillings.push_back({start, stop});
    }
}

// "30 minutes", "2.5 hours"
std::string time_words(double time_s) {
    const double minutes = std::round(std::abs(time_s) / minute_s);
    if (minutes == 1.0) return "1 minute";
    return minutes < 100.0 ? fmt::format("{:.0f} minutes", minutes)
                           : fmt::format("{:.1f} hours", minutes / 60.0);
}

// How far a level was read before (negative) or after the water ran; 0: while it did.
double outside_s(double clock_s, double start_s, double stop_s) {
    if (clock_s <= start_s - minute_s) return clock_s - start_s;
    return clock_s >= stop_s + minute_s ? clock_s - stop_s : 0.0;
}

Finding not_used(const LoadStep& step, std::string what, std::string what_to_do) {
    Where where = where_is(step.source);
    where.column = "clock";
    return {Severity::caution, where, std::move(what), std::move(what_to_do),
            Consequence::input_rejected};
}

Finding stopped_first(const LoadStep& start, const LoadStep& stop) {
    const double early_s = start.clock_s->value - stop.clock_s->value;
    return not_used(
        stop,
        fmt::format("By its clock the water of the load test was stopped {} it was started (row "
                    "{}){}. No volume is worked out and no water shared out.",
                    early_s > 0.0 ? time_words(early_s) + " before" : "at the moment",
                    start.source.row, early_s > 0.0 ? ": the two clocks may be exchanged" : ""),
        "Correct the clocks of both rows; of a test that went past midnight write the date beside "
        "each clock.");
}

Finding out_of_order(const LoadStep& before, const LoadStep& step) {
    return not_used(
        step,
        fmt::format("By its clock this level of {} was read {} before that of row {}, which stands "
                    "above it. Which of the two is the later cannot be told; none of {} is used.",
                    step.point, time_words(before.clock_s->value - step.clock_s->value),
                    before.source.row, step.point),
        "Put the rows in the order in which they were read, or correct their clocks.");
}

// Read on purpose, it may be, to see the box drain.
Finding read_after(const LoadStep& step, double off_s) {
    Finding finding = not_used(
        step,
        fmt::format("This level of {} was read {} after the water was stopped. It may show how the "
                    "water drains, but not how it was shared out, and is not used.",
                    step.point, time_words(off_s)),
        "Correct its clock, or those that say start and stop, if it was read while the water ran.");
    finding.severity = Severity::info;
    return finding;
}

Finding read_outside(const LoadStep& step, double off_s, bool fits_by_24_hours) {
    if (off_s > 0.0 && !fits_by_24_hours) return read_after(step, off_s);
    return not_used(
        step,
        fmt::format("By its clock this level of {} was read {} {} the water {}. It tells nothing "
                    "of the water put in and is not used.",
                    step.point, time_words(off_s), off_s < 0.0 ? "before" : "after",
                    off_s < 0.0 ? "was turned on" : "was stopped"),
        fits_by_24_hours
            ? "Twelve hours later it would fit: write clocks by 24 hours, 13:02, not 1:02."
            : "Correct the clock of this row, or those that say start and stop.");
}

// Rows after the first filling that belong to none: what ran then is not known.
void tell_unpaired(const Job& job, const std::vector<Filling>& fillings, Findings& findings) {
    for (const LoadStep& step : job.load_test) {
        const bool starts = turns(step, "start");
        if (!starts && !turns(step, "stop")) continue;
        if (step.clock_s->value <= fillings.front().stop->clock_s->value) continue;
        const bool used = std::ranges::any_of(fillings, [&](const Filling& filling) {
            return filling.start == &step || filling.stop == &step;
        });
        if (used) continue;
        findings.push_back(
            starts ? not_used(step,
                              "By this row the water of the load test was turned on again, but no "
                              "row says when it was stopped. What ran from then on is not counted.",
                              "Write a row with the clock at which it was stopped.")
                   : not_used(step,
                              "By this row the water of the load test was stopped once more, but "
                              "no row says when it was turned on again. The row is not used: what "
                              "ran before it is not counted.",
                              "Write a row with the clock at which it was turned on again, or "
                              "leave this one out."));
    }
}

// Ports whose clocks go back from one row to the next.
std::vector<std::string> tell_out_of_order(const Job& job, Findings& findings) {
    std::vector<std::string> ports;
    std::vector<const LoadStep*> last;  // of each port, with a clock
    for (const LoadStep& step : job.load_test) {
        if (!is_level(step) || !step.clock_s) continue;
        const auto before = std::ranges::find_if(
            last, [&](const LoadStep* one) { return one->point == step.point; });
        if (before == last.end()) {
            last.push_back(&step);
            continue;
        }
        if (step.clock_s->value < (*before)->clock_s->value &&
            std::ranges::find(ports, step.point) == ports.end()) {
            findings.push_back(out_of_order(**before, step));
            ports.push_back(step.point);
        }
        *before = &step;
    }
    return ports;
}

bool has_port(const std::vector<LoadStep>& levels, const std::string& port) {
    return std::ranges::find(levels, port, &LoadStep::point) != levels.end();
}

// How far a level was read from the filling nearest to it.
double outside_all_s(double clock_s, const std::vector<Filling>& fillings) {
    const auto off_s = [&](const Filling& filling) {
        return outside_s(clock_s, filling.start->clock_s->value, filling.stop->clock_s->value);
    };
    return off_s(*std::ranges::min_element(
        fillings, {}, [&](const Filling& filling) { return std::abs(off_s(filling)); }));
}

// Leaves out levels that were not read while the water ran.
void keep_read_between(const std::vector<Filling>& fillings, LoadTimes& times, Findings& findings) {
    std::vector<LoadStep> kept;
    for (const LoadStep& step : times.levels) {
        const double off_s = step.clock_s ? outside_all_s(step.clock_s->value, fillings) : 0.0;
        if (off_s == 0.0) {
            kept.push_back(step);
            continue;
        }
        const bool by_24 = outside_all_s(step.clock_s->value + half_a_day_s, fillings) == 0.0;
        findings.push_back(read_outside(step, off_s, by_24));
    }
    const bool a_port_gone = std::ranges::any_of(
        times.levels, [&](const LoadStep& step) { return !has_port(kept, step.point); });
    if (a_port_gone) times.shares_withheld = "not every port was read while the water ran";
    times.levels = std::move(kept);
}

// Levels of one moment show how the hose was shared out; those of two need not.
void hold_to_one_moment(LoadTimes& times) {
    std::map<std::string, const LoadStep*> last;  // of each port
    for (const LoadStep& step : times.levels) last[step.point] = &step;
    std::vector<const LoadStep*> read;
    for (const auto& [port, step] : last) {
        if (step->clock_s) read.push_back(step);
    }
    if (read.empty()) return;
    const auto [first, final] = std::ranges::minmax_element(
        read, {}, [](const LoadStep* step) { return step->clock_s->value; });
    const double apart_s = (*final)->clock_s->value - (*first)->clock_s->value;
    if (apart_s <= one_moment_s || !times.shares_withheld.empty()) return;
    times.shares_withheld = fmt::format("the last level of {} was read {} before that of {}",
                                        (*first)->point, time_words(apart_s), (*final)->point);
}

}  // namespace

LoadTimes times_of_load_test(const Job& job, Findings& findings) {
    LoadTimes times;
    const std::vector<std::string> contradicted = tell_out_of_order(job, findings);
    for (const LoadStep& step : job.load_test) {
        if (!is_level(step)) continue;
        if (std::ranges::find(contradicted, step.point) == contradicted.end()) {
            times.levels.push_back(step);
        }
    }
    if (!contradicted.empty()) {
        times.shares_withheld = "the clocks of some levels contradict the order of their rows";
    }
    const LoadStep* start = step_that_says(job, "start");
    const LoadStep* stop = stop_of(job, start);
    if (start == nullptr || stop == nullptr) return times;
    if (stop->clock_s->value <= start->clock_s->value) {
        findings.push_back(stopped_first(*start, *stop));
        times.shares_withheld = "when the water ran is not known";
        return times;
    }
    const std::vector<Filling> fillings = with_later_ones(job, {start, stop});
    times.fillings = static_cast<int>(fillings.size());
    times.running_s = 0.0;
    for (const Filling& filling : fillings) {
        *times.running_s += filling.stop->clock_s->value - filling.start->clock_s->value;
    }
    tell_unpaired(job, fillings, findings);
    keep_read_between(fillings, times, findings);
    hold_to_one_moment(times);
    return times;
}

}  // namespace sondeline
