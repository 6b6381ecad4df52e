#include "footage/merged_digits.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <numeric>
#include <vector>

namespace sondeline {

namespace {

constexpr std::int64_t kNear_ticks = 20;

// Moves of a few ticks that pass a digit over; slow ones take so many samples that each value would
// have been shown in one.
struct Passing {
    int moves = 0;
    int slow = 0;
    int unread = 0;  // with samples that were not read on the way
};

struct LastDigit {
    std::array<int, 10> visits{};   // times the counter came to a value that ends so
    std::array<int, 10> steps{};    // times it came there by a step that ends so
    std::array<int, 10> samples{};  // while it moved
    std::array<int, 10> skipped{};  // times it was passed over at a speed that shows every value
    std::array<Passing, 10> passing{};
    std::array<int, 10> passed_over{};  // times, whether slowly or fast
};

int last_digit(std::int64_t ticks) {
    return static_cast<int>(std::llabs(ticks) % 10);
}

void count_passing(std::int64_t from, std::int64_t to, std::int64_t samples, bool unread,
                   LastDigit& counts) {
    constexpr std::int64_t kFewTicks = 3;
    const std::int64_t ticks = std::llabs(to - from);
    if (ticks > kNear_ticks) return;
    for (std::int64_t passed = std::min(from, to) + 1; passed < std::max(from, to); ++passed) {
        ++counts.passed_over[last_digit(passed)];
        if (ticks > kFewTicks) continue;
        Passing& passing = counts.passing[last_digit(passed)];
        ++passing.moves;
        if (samples >= ticks) ++passing.slow;
        if (unread) ++passing.unread;
    }
}

// A head driven at one speed may leave out the same digits for long, and then it is past them from
// one sample to the next.
bool would_have_shown(const Passing& passing) {
    constexpr int kFewestSlow = 2;
    constexpr double kOften = 0.33;
    return passing.slow >= kFewestSlow && passing.slow >= kOften * passing.moves;
}

LastDigit counted(std::span<const LineSample> samples) {
    constexpr std::ptrdiff_t kLongestStay = 12;  // samples; longer ones are holds
    constexpr std::ptrdiff_t kSlow = 2;          // samples to a value
    LastDigit counts;
    const LineSample* before = nullptr;     // the first of its value
    const LineSample* last_read = nullptr;  // the last of its value
    std::ptrdiff_t stay = 0;
    std::int64_t between = -1;  // value passed over on the way to `before`, slowly so far
    const auto leave = [&] {
        if (before == nullptr) return;
        if (stay <= kLongestStay) {
            counts.samples[last_digit(before->ticks)] += static_cast<int>(stay);
        }
        if (stay >= kSlow && between >= 0) ++counts.skipped[last_digit(between)];
    };
    for (const LineSample& sample : samples) {
        if (sample.unread != Unread::no) continue;
        if (before != nullptr && sample.ticks == before->ticks) {
            ++stay;
            last_read = &sample;
            continue;
        }
        leave();
        const bool near =
            before != nullptr && std::llabs(sample.ticks - before->ticks) <= kNear_ticks;
        if (near) {
            ++counts.visits[last_digit(sample.ticks)];
            ++counts.steps[last_digit(sample.ticks - before->ticks)];
        }
        if (before != nullptr && &sample - before <= kLongestStay) {
            const std::ptrdiff_t apart = &sample - before;
            count_passing(before->ticks, sample.ticks, apart, last_read + 1 != &sample, counts);
        }
        const bool passes_over =
            before != nullptr && stay >= kSlow && std::llabs(sample.ticks - before->ticks) == 2;
        between = passes_over ? std::llabs(sample.ticks + before->ticks) / 2 : -1;
        before = &sample;
        last_read = &sample;
        stay = 1;
    }
    leave();
    return counts;
}

}  // namespace

std::bitset<10> merged_digits(std::span<const LineSample> samples) {
    constexpr double kFewestVisits = 3.0;  // of a digit, on average
    constexpr double kMissing = 0.17;      // of that average
    constexpr int kFewestSkips = 2;
    constexpr double kTooOften = 1.6;  // times the average; twice when both are always taken
    const LastDigit counts = counted(samples);
    std::bitset<10> merged;
    const double visits = std::accumulate(counts.visits.begin(), counts.visits.end(), 0) / 10.0;
    const double usual = std::accumulate(counts.samples.begin(), counts.samples.end(), 0) / 10.0;
    if (visits < kFewestVisits) return merged;
    for (std::size_t digit = 0; digit < 10; ++digit) {
        if (counts.visits[digit] > kMissing * visits) continue;
        // A head that is pushed fast and evenly may never show some digit.
        if (counts.skipped[digit] < kFewestSkips) continue;
        for (const std::size_t neighbour : {(digit + 9) % 10, (digit + 1) % 10}) {
            if (counts.samples[neighbour] > kTooOften * usual) merged.set(neighbour);
        }
    }
    return merged;
}

namespace {

constexpr double kByChance = 1e-3;

// Three or four digits that follow each other: a head that goes by them again and again, however
// fast and evenly, comes to one of them now and then.
bool are_gone_by(const LastDigit& counts, const std::bitset<10>& missing) {
    constexpr std::size_t kMost = 4;
    constexpr int kFewestTimes = 3;
    if (missing.count() > kMost) return false;
    int runs = 0;
    for (std::size_t digit = 0; digit < 10; ++digit) {
        if (!missing.test(digit)) continue;
        if (!missing.test((digit + 9) % 10)) ++runs;
        if (counts.passed_over[digit] < kFewestTimes) return false;
    }
    const double visits = std::accumulate(counts.visits.begin(), counts.visits.end(), 0);
    const double others = 10.0 - static_cast<double>(missing.count());
    return runs == 1 && 10.0 * std::pow(others / 10.0, visits) <= kByChance;
}

std::bitset<10> missing_of(const LastDigit& counts) {
    constexpr std::size_t kMostMissing = 2;  // a head that moves by even steps misses five
    constexpr double kFewOfOthers = 0.33;    // of what each of them comes on average
    constexpr double kSameStep = 0.5;        // of all moves
    std::bitset<10> missing;
    for (std::size_t digit = 0; digit < 10; ++digit) missing.set(digit, counts.visits[digit] == 0);
    const std::size_t count = missing.count();
    if (count == 0) return {};
    if (count > kMostMissing) return are_gone_by(counts, missing) ? missing : std::bitset<10>();
    const double visits = std::accumulate(counts.visits.begin(), counts.visits.end(), 0);
    const double ways = count == 1 ? 10.0 : 45.0;  // of choosing so many of ten
    const double others = 10.0 - static_cast<double>(count);
    if (ways * std::pow(others / 10.0, visits) > kByChance) return {};
    for (std::size_t digit = 0; digit < 10; ++digit) {
        if (!missing.test(digit) && counts.visits[digit] < kFewOfOthers * visits / others) {
            return {};
        }
    }
    if (*std::ranges::max_element(counts.steps) <= kSameStep * visits) return missing;
    for (std::size_t digit = 0; digit < 10; ++digit) {
        if (missing.test(digit) && !would_have_shown(counts.passing[digit])) return {};
    }
    return missing;
}

// Of the digits that do come, those that come too often to be themselves only.
std::bitset<10> stand_ins_of(const LastDigit& counts, const std::bitset<10>& missing) {
    constexpr double kTooOften = 1.5;  // times the median; twice as often when read for one more
    std::vector<int> usual;
    for (std::size_t digit = 0; digit < 10; ++digit) {
        if (!missing.test(digit)) usual.push_back(counts.samples[digit]);
    }
    const auto middle = usual.begin() + static_cast<std::ptrdiff_t>(usual.size() / 2);
    std::nth_element(usual.begin(), middle, usual.end());
    std::bitset<10> stand_ins;
    for (std::size_t digit = 0; digit < 10; ++digit) {
        stand_ins.set(digit, counts.samples[digit] > kTooOften * *middle);
    }
    return stand_ins;
}

bool passed_unread(const LastDigit& counts, const std::bitset<10>& missing) {
    int moves = 0;
    int unread = 0;
    for (std::size_t digit = 0; digit < 10; ++digit) {
        if (!missing.test(digit)) continue;
        moves += counts.passing[digit].moves;
        unread += counts.passing[digit].unread;
    }
    return moves > 0 && unread * 2 > moves;
}

}  // namespace

MissingDigits missing_last_digits(std::span<const LineSample> samples) {
    const LastDigit counts = counted(samples);
    MissingDigits result;
    result.missing = missing_of(counts);
    if (result.missing.none()) return result;
    result.stand_ins = stand_ins_of(counts, result.missing);
    result.mostly_unread = passed_unread(counts, result.missing);
    return result;
}

bool last_digit_stays(std::span<const LineSample> samples) {
    constexpr int kFewestValues = 12;
    constexpr int kMostOthers = 20;  // one in so many
    std::array<int, 10> values{};
    const LineSample* before = nullptr;
    for (const LineSample& sample : samples) {
        if (sample.unread != Unread::no) continue;
        if (before == nullptr || before->ticks != sample.ticks) ++values[last_digit(sample.ticks)];
        before = &sample;
    }
    const int all = std::accumulate(values.begin(), values.end(), 0);
    const int others = all - *std::ranges::max_element(values);
    return all >= kFewestValues && others * kMostOthers <= all;
}

bool ends_in_any(const LineSample& sample, const std::bitset<10>& digits) {
    return sample.unread == Unread::no &&
           digits.test(static_cast<std::size_t>(last_digit(sample.ticks)));
}

bool shows_any(const CounterShape& shape, std::int64_t ticks, const std::bitset<10>& digits) {
    const WrittenLayout* layout = layout_of(shape, ticks);
    if (layout == nullptr) return false;
    for (int cell = 0; cell < shape.cells; ++cell) {
        const int shown = class_in_cell(layout->cells[cell], ticks);
        if (shown < minus_class && digits.test(static_cast<std::size_t>(shown))) return true;
    }
    return false;
}

}  // namespace sondeline
