#include "footage/counter_choice.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>
#include <vector>

#include <fmt/format.h>

namespace sondeline {
namespace {

constexpr double kLikelyCounter = 0.5;
constexpr double kAnotherCounter = 0.3;  // a second line this likely is worth a word

std::string why_unread(Unread unread) {
    switch (unread) {
        case Unread::no: return "";
        case Unread::unsure: return "the digits are not clear enough";
        case Unread::between_values: return "the digits are changing";
        case Unread::text_hidden: return "the counter is not shown";
        case Unread::near_a_jump: return "the counter jumps here";
    }
    return "";
}

// Ticks as the decimal that is shown; dividing gives the double nearest to it.
double shown(std::int64_t ticks, const CounterFormat& format) {
    const auto value = static_cast<double>(ticks);
    return format.unit == CounterUnit::feet_and_inches ? value / 12.0
                                                       : value / std::pow(10.0, format.decimals);
}

bool is_counter(const LineReading& reading) {
    return reading.kind == LineKind::counter && reading.counter_probability >= kLikelyCounter;
}

// Whether the two read the same characters and differ only in where the point stands.
bool same_digits(const LineReading& a, const LineReading& b) {
    const CounterFormat& of_a = a.format;
    const CounterFormat& of_b = b.format;
    if (of_a.unit == CounterUnit::feet_and_inches || of_b.unit == CounterUnit::feet_and_inches) {
        return false;
    }
    const double pitch_px = of_a.box.width / std::max(1.0, static_cast<double>(of_a.integer_cells));
    return of_a.integer_cells + of_a.decimals == of_b.integer_cells + of_b.decimals &&
           of_a.decimals != of_b.decimals && std::abs(of_a.box.x - of_b.box.x) < 0.5 * pitch_px;
}

// Whether the two give the same number wherever both tell one, and do so often.
bool agree(const LineReading& a, const LineReading& b) {
    constexpr int kOften = 20;
    constexpr double kAlways = 0.98;
    if (a.format.unit != b.format.unit || a.format.decimals != b.format.decimals) return false;
    int both = 0;
    int same = 0;
    for (std::size_t i = 0; i < std::min(a.samples.size(), b.samples.size()); ++i) {
        if (a.samples[i].unread != Unread::no || b.samples[i].unread != Unread::no) continue;
        ++both;
        same += a.samples[i].ticks == b.samples[i].ticks;
    }
    return both >= kOften && same >= kAlways * both;
}

// A line's readings stand in the order in which the search ranked their structures. A later one is
// taken only when it reads clearly more of the clip, or more of the same, or as much without the
// first one's doubt: more cells alone give a higher score, even when some of them belong to
// something else.
const LineReading* first_counter(const WatchedLine& line) {
    constexpr double kClearlyMore = 0.15;
    constexpr double kMoreOfTheSame = 0.04;
    const LineReading* best = nullptr;
    for (const LineReading& reading : line.readings) {
        if (!is_counter(reading)) continue;
        if (best == nullptr) {
            best = &reading;
            continue;
        }
        const double gain = reading.format.digits_sure - best->format.digits_sure;
        const bool clears_doubt = !best->doubt.empty() && reading.doubt.empty() && gain >= 0.0;
        const bool more = gain > (agree(*best, reading) ? kMoreOfTheSame : kClearlyMore);
        if (more || clears_doubt) best = &reading;
    }
    return best;
}

// The line's counter. How a number behaves says that the line is a counter, and little about where
// its point stands, for a step is then ten times longer: among readings of the same digits the one
// that was ranked first, by what is seen of the point, stands.
CounterChoice counter_of(const WatchedLine& line) {
    constexpr double kAsMuch = 0.05;  // of the samples
    CounterChoice choice{&line, first_counter(line)};
    if (choice.reading == nullptr) return {};
    const LineReading& counter = *choice.reading;
    choice.probability = counter.counter_probability;
    choice.doubt = counter.doubt;
    for (const LineReading& earlier : line.readings) {
        if (&earlier == &counter) break;
        const bool reads_as_much =
            earlier.format.digits_sure >= counter.format.digits_sure - kAsMuch;
        if (is_counter(earlier) || !reads_as_much) continue;
        if (same_digits(earlier, counter)) {
            choice.reading = &earlier;
            choice.doubt = earlier.doubt;
            break;
        }
        if (choice.doubt.empty()) {
            choice.doubt = "as " + earlier.format.pattern +
                           " it reads as well, but does not change as a reel's counter does";
        }
    }
    return choice;
}

// How far the readings go, in ticks; what is far from nearly all of them is left out.
std::int64_t ground_covered(const LineReading& reading) {
    std::vector<std::int64_t> ticks;
    for (const LineSample& sample : reading.samples) {
        if (sample.unread == Unread::no) ticks.push_back(sample.ticks);
    }
    if (ticks.empty()) return 0;
    std::sort(ticks.begin(), ticks.end());
    const std::size_t few = ticks.size() / 20;
    return ticks[ticks.size() - 1 - few] - ticks[few];
}

// Whether `other` is a counter nearly as likely as `best`, and another number.
bool is_rival(const CounterChoice& best, const CounterChoice& other) {
    constexpr double kNearlyAsLikely = 3.0;  // odds of the one over those of the other
    const auto odds = [](const CounterChoice& c) { return c.probability / (1.0 - c.probability); };
    return other.line != best.line && odds(best) <= kNearlyAsLikely * odds(other) &&
           !agree(*best.reading, *other.reading);
}

// A figure that drifts one way in a short clip can keep the head company by chance; the reel's
// counter covers far more ground than it. Which of the two it is stays in doubt.
CounterChoice told_from_rivals(CounterChoice best, std::span<const CounterChoice> others) {
    constexpr std::int64_t kFarMore = 4;
    const CounterChoice likeliest = best;
    for (const CounterChoice& other : others) {
        if (!is_rival(likeliest, other)) continue;
        const CounterChoice* rival = &other;
        if (ground_covered(*other.reading) >= kFarMore * ground_covered(*best.reading)) {
            rival = best.line == likeliest.line ? &likeliest : &other;
            best = other;
        }
        if (!best.doubt.empty()) continue;
        const CounterFormat& format = rival->reading->format;
        best.doubt = fmt::format("the number at {}, {}, which reads {}, counts as much like a reel",
                                 format.box.x, format.box.y, format.pattern);
    }
    return best;
}

FieldKind field_kind(const WatchedLine& line) {
    for (const LineReading& reading : line.readings) {
        if (reading.kind == LineKind::counter && reading.counter_probability >= kAnotherCounter) {
            return FieldKind::second_counter;
        }
    }
    const LineKind kind = line.readings.empty() ? line.kind : line.readings.front().kind;
    switch (kind) {
        case LineKind::clock: return FieldKind::clock;
        case LineKind::date: return FieldKind::date;
        case LineKind::still_text: return FieldKind::title;
        case LineKind::counter:
        case LineKind::unreadable: break;
    }
    return FieldKind::other;
}

CounterSample sample_of(const LineSample& read, double time_s, const CounterFormat& format) {
    CounterSample sample;
    sample.time_s = time_s;
    if (read.unread == Unread::no) {
        sample.counter = shown(read.ticks, format);
        sample.probability = read.probability;
        if (read.was_set) sample.state = CounterState::zero;
    } else {
        sample.reason = why_unread(read.unread);
    }
    return sample;
}

CounterSample missing(double time_s, const char* reason) {
    CounterSample sample;
    sample.time_s = time_s;
    sample.reason = reason;
    return sample;
}

}  // namespace

CounterChoice likeliest_counter(std::span<const WatchedLine> lines) {
    std::vector<CounterChoice> counters;
    for (const WatchedLine& line : lines) {
        CounterChoice choice = counter_of(line);
        if (choice.reading != nullptr) counters.push_back(std::move(choice));
    }
    if (counters.empty()) return {};
    const auto best = std::ranges::max_element(counters, [](const auto& a, const auto& b) {
        return std::tie(a.probability, a.reading->score) <
               std::tie(b.probability, b.reading->score);
    });
    return told_from_rivals(*best, counters);
}

CounterChoice near_counter(std::span<const WatchedLine> lines) {
    CounterChoice best;
    for (const WatchedLine& line : lines) {
        for (const LineReading& reading : line.readings) {
            if (reading.kind == LineKind::clock || is_counter(reading)) continue;
            if (reading.counter_probability < std::max(kAnotherCounter, best.probability)) continue;
            best = {&line, &reading, reading.counter_probability, {}};
        }
    }
    return best;
}

std::vector<OverlayField> other_fields(std::span<const WatchedLine> lines,
                                       const CounterChoice& counter) {
    std::vector<OverlayField> fields;
    for (const WatchedLine& line : lines) {
        if (&line != counter.line) fields.push_back({line.box, field_kind(line)});
    }
    std::stable_sort(fields.begin(), fields.end(),
                     [](const OverlayField& a, const OverlayField& b) {
                         return std::tie(a.box.y, a.box.x) < std::tie(b.box.y, b.box.x);
                     });
    return fields;
}

std::vector<CounterSample> samples_of(const SpanReading& reading, const CounterChoice& counter) {
    std::vector<CounterSample> samples;
    for (std::size_t i = 0; i < reading.times_s.size(); ++i) {
        const bool read = counter.reading != nullptr && i < counter.reading->samples.size();
        samples.push_back(read ? sample_of(counter.reading->samples[i], reading.times_s[i],
                                           counter.reading->format)
                               : missing(reading.times_s[i], "no counter was found"));
    }
    for (const double time_s : reading.damaged_s) {
        samples.push_back(missing(time_s, "the picture is damaged"));
    }
    std::stable_sort(
        samples.begin(), samples.end(),
        [](const CounterSample& a, const CounterSample& b) { return a.time_s < b.time_s; });
    return samples;
}

}  // namespace sondeline
