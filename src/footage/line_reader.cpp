#include "footage/line_reader.hpp"

#include <algorithm>
#include <array>
#include <bitset>
#include <cmath>
#include <cstdlib>
#include <limits>
#include <numeric>

#include <fmt/format.h>

#include "footage/counter_path.hpp"
#include "footage/faint_cells.hpp"
#include "footage/line_cells.hpp"
#include "footage/line_kind.hpp"
#include "footage/merged_digits.hpp"
#include "footage/mistaken_digits.hpp"
#include "footage/own_glyphs.hpp"
#include "footage/path_trust.hpp"
#include "footage/structure_search.hpp"

namespace sondeline {

namespace {

double share_sure(std::span<const LineSample> samples) {
    const auto sure = std::count_if(samples.begin(), samples.end(), [](const LineSample& sample) {
        return sample.unread == Unread::no;
    });
    return samples.empty() ? 0.0 : static_cast<double>(sure) / static_cast<double>(samples.size());
}

std::string as_shown(const LineStructure& structure, std::int64_t ticks) {
    return written(structure.shape, structure.padding, structure.format.integer_cells, ticks);
}

// What a reel does not do stays when a digit is taken for another wherever it stands.
std::string doubt_of_jumps(const LineStructure& structure, const CounterPath& path,
                           std::span<const PathJump> jumps) {
    const auto never = std::ranges::find_if(
        jumps, [](const PathJump& jump) { return !jump.clean && !jump.comes_back; });
    if (never == jumps.end()) return {};
    return fmt::format(
        "it jumps from {} to {} as no reel does, so that a digit may be taken for "
        "another",
        as_shown(structure, path.values[never->before].ticks),
        as_shown(structure, path.values[never->after].ticks));
}

// Ten and eleven inches of a proportional face may stand where they were not looked for.
std::string doubt_of_inches(const LineStructure& structure, std::span<const LineSample> samples) {
    constexpr std::int64_t kTwoFeet = 24;
    if (!structure.shape.feet_and_inches) return {};
    std::array<int, 12> read{};
    std::int64_t least = std::numeric_limits<std::int64_t>::max();
    std::int64_t most = std::numeric_limits<std::int64_t>::min();
    for (const LineSample& sample : samples) {
        if (sample.unread != Unread::no) continue;
        ++read[static_cast<std::size_t>(std::llabs(sample.ticks) % 12)];
        least = std::min(least, sample.ticks);
        most = std::max(most, sample.ticks);
    }
    const int long_inches = read[10] + read[11];
    const int all = std::accumulate(read.begin(), read.end(), 0);
    if (all == 0 || most - least < kTwoFeet || long_inches * 40 > all) return {};
    return "ten and eleven inches are hardly ever read, and nine may stand for them";
}

constexpr const char* kLastDigitStays =
    "its last digit never changes, and could be something else that stands behind the number";

std::string listed(const std::bitset<10>& digits) {
    std::string list;
    for (std::size_t digit = 0; digit < digits.size(); ++digit) {
        if (!digits.test(digit)) continue;
        list += (list.empty() ? "" : " or ") + std::to_string(digit);
    }
    return list;
}

std::string doubt_of_last_digits(const MissingDigits& digits) {
    if (digits.missing.none()) return {};
    const std::string never = fmt::format("it never ends in {} though it ends in all other digits",
                                          listed(digits.missing));
    if (digits.stand_ins.any()) {
        const std::string often = listed(digits.stand_ins);
        return fmt::format(
            "{}, and far too often in {}, so that one may be read for the other: nothing that ends "
            "in {} was taken",
            never, often, often);
    }
    if (digits.mostly_unread) {
        return fmt::format(
            "{}; there it mostly could not be read, and another digit may be read for it", never);
    }
    return fmt::format("{}, so that another digit may be read for it", never);
}

std::string example(const LineStructure& structure, std::span<const LineSample> samples) {
    std::int64_t furthest = 0;
    for (const LineSample& sample : samples) {
        if (sample.unread == Unread::no) furthest = std::max(furthest, sample.ticks);
    }
    std::string text = as_shown(structure, furthest);
    switch (structure.format.unit) {
        case CounterUnit::metre: return text + " m";
        case CounterUnit::foot: return text + " ft";
        case CounterUnit::feet_and_inches:
        case CounterUnit::unknown: break;
    }
    return text;
}

}  // namespace

LineEvidence line_evidence(const LineCrop& crop, const LineStructure& structure,
                           const GlyphNet& net) {
    LineEvidence evidence;
    evidence.time_s = crop.time_s;
    evidence.picture_motion = crop.picture_motion;
    CellGlyphs glyphs;
    CellReader(structure, net).look(crop, glyphs);
    evidence.cost = structure.own_glyphs == nullptr
                        ? costs_of(glyphs.log_probs)
                        : costs_of(seen_by(*structure.own_glyphs, glyphs));
    evidence.edges = edges_of(glyphs);
    return evidence;
}

LineReading decode_line(const LineStructure& structure, std::span<const LineEvidence> all_seen,
                        const LineReaderOptions& options) {
    std::vector<LineEvidence> evidence = with_faint_cells_weakened(structure.shape, all_seen);
    LineReading reading;
    reading.format = structure.format;
    reading.doubt = structure.doubt;
    const double tick_m = metres_to_the_tick(structure.format);
    const ReelMotion motion = reel_motion(tick_m);
    PathOptions of_the_layout_found;
    of_the_layout_found.kept_digits_count_once = true;
    CounterPath path = decode_path(structure.shape, evidence, motion, of_the_layout_found);
    reading.score = path.score;
    TrustedPath sure = trusted(path, structure.shape, evidence, motion, options.min_probability);
    // By all that it seems to show: a number that moves like a reel is one, whatever digits are in
    // doubt.
    const KindVerdict verdict = kind_of(sure.samples, evidence, reading.format, tick_m);
    reading.kind = verdict.kind;
    reading.counter_probability = verdict.counter_probability;
    std::vector<LineEvidence> allowed =
        with_mistaken_digits_allowed(structure.shape, path, evidence);
    if (!allowed.empty()) {
        evidence = std::move(allowed);
        path = decode_path(structure.shape, evidence, motion, of_the_layout_found);
        sure = trusted(path, structure.shape, evidence, motion, options.min_probability);
    }
    if (reading.doubt.empty()) reading.doubt = doubt_of_jumps(structure, path, sure.jumps);
    reading.samples = std::move(sure.samples);
    if (reading.doubt.empty()) reading.doubt = doubt_of_inches(structure, reading.samples);
    if (!structure.shape.feet_and_inches) {
        const bool stays = last_digit_stays(reading.samples);
        if (reading.doubt.empty() && stays) reading.doubt = kLastDigitStays;
        const MissingDigits digits = missing_last_digits(reading.samples);
        if (reading.doubt.empty()) reading.doubt = doubt_of_last_digits(digits);
        for (LineSample& sample : reading.samples) {
            if (ends_in_any(sample, digits.stand_ins)) sample = {0, 0.0F, Unread::unsure};
        }
    }
    reading.format.digits_sure = share_sure(reading.samples);
    reading.format.pattern = example(structure, reading.samples);
    return reading;
}

}  // namespace sondeline
