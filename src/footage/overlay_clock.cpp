#include "footage/overlay_clock.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <set>
#include <vector>

#include <fmt/format.h>

namespace sondeline {

namespace {

constexpr std::size_t kCropsOfMap = 12;
constexpr std::size_t kMostSights = 160;
constexpr int kStepsPerPitch = 8;

// Where digits in groups stand: left edges of the cells, in pixels of the crop.
struct GroupedCells {
    std::vector<double> digit_px;
    std::vector<double> mark_px;  // of the cells of the marks between the groups
    double score = -1.0;          // mean logit of the digits
    double marks = -1.0;          // least mean logit of the marks
};

GroupedCells cells_at(std::span<const int> groups, double from_px, double pitch_px,
                      double advance_px, double gap_px) {
    GroupedCells cells;
    double at_px = from_px;
    for (std::size_t group = 0; group < groups.size(); ++group) {
        if (group > 0) {
            cells.mark_px.push_back(at_px + 0.5 * (gap_px - pitch_px));
            at_px += gap_px;
        }
        for (int i = 0; i < groups[group]; ++i) {
            cells.digit_px.push_back(at_px + 0.5 * (advance_px - pitch_px));
            at_px += advance_px;
        }
    }
    return cells;
}

// Means over the crops of a map: of the surest digit, and of the marks.
struct MeanLogits {
    std::vector<float> digit;
    std::vector<float> mark;
    double left_px = 0.0;
    double step_px = 1.0;

    float at(const std::vector<float>& logits, double px) const {
        const auto place = static_cast<long>(std::lround((px - left_px) / step_px));
        if (place < 0 || place >= static_cast<long>(logits.size())) return -most_logit;
        return logits[static_cast<std::size_t>(place)];
    }
};

MeanLogits mean_logits(const GlyphMap& map, std::span<const Glyph> marks) {
    MeanLogits means;
    means.left_px = map.left_px(0);
    means.step_px = map.band().pitch_px / map.steps_per_pitch();
    for (int place = 0; place < map.places(); ++place) {
        float digit = 0.0F;
        for (int crop = 0; crop < map.crops(); ++crop) digit += map.digit(crop, place);
        means.digit.push_back(digit / static_cast<float>(std::max(1, map.crops())));
        float mark = -most_logit;
        for (const Glyph glyph : marks) mark = std::max(mark, map.mean_logit(place, glyph));
        means.mark.push_back(mark);
    }
    return means;
}

void rate(const MeanLogits& means, GroupedCells& cells) {
    double sum = 0.0;
    for (const double px : cells.digit_px) {
        const float logit = means.at(means.digit, px);
        if (logit < 0.0F) return;
        sum += logit;
    }
    cells.score = sum / static_cast<double>(cells.digit_px.size());
    cells.marks = most_logit;
    for (const double px : cells.mark_px) {
        cells.marks = std::min<double>(cells.marks, means.at(means.mark, px));
    }
}

// The best place of the groups along the line; score below 0 when there is none.
GroupedCells find_groups(const MeanLogits& means, const TextBand& band,
                         std::span<const int> groups) {
    GroupedCells best;
    double best_rank = 0.0;
    for (std::size_t place = 0; place < means.digit.size(); ++place) {
        const double from_px = means.left_px + means.step_px * static_cast<double>(place);
        if (means.digit[place] < 0.0F) continue;
        for (int stretch = -4; stretch <= 4; ++stretch) {
            const double advance_px = band.pitch_px * (1.0 + 0.025 * stretch);
            for (int gap = 2; gap <= 9; ++gap) {
                GroupedCells cells = cells_at(groups, from_px, band.pitch_px, advance_px,
                                              band.pitch_px * gap / kStepsPerPitch);
                rate(means, cells);
                const double rank = cells.score + 0.3 * std::min(cells.marks, 2.0);
                if (cells.score <= 0.0 || cells.marks < -1.0 || rank <= best_rank) continue;
                best_rank = rank;
                best = std::move(cells);
            }
        }
    }
    return best;
}

using CellLogProbs = std::vector<GlyphLogProbs>;

CellLogProbs look_at(const LineCrop& crop, const LocatedLine& line, const TextBand& band,
                     const GroupedCells& cells, const GlyphNet& net) {
    std::vector<GlyphPatch> patches;
    for (const double px : cells.digit_px) {
        const cv::Rect2d cell(px, band.top_px, band.pitch_px, band.height_px);
        patches.push_back(patch_from(crop.luma, cell, strokes_of(line)));
    }
    CellLogProbs seen(patches.size());
    net.classify(patches, seen);
    return seen;
}

struct SeenDigit {
    int digit = 0;
    float probability = 0.0F;
};

SeenDigit surest(const GlyphLogProbs& seen) {
    const auto best = std::max_element(seen.begin(), seen.begin() + 10);
    return {static_cast<int>(best - seen.begin()), std::exp(*best)};
}

ClockSight sight_of(double time_s, const CellLogProbs& seen) {
    std::array<int, 6> digits{};
    ClockSight sight{time_s, -1, 1.0F};
    for (std::size_t i = 0; i < digits.size(); ++i) {
        const SeenDigit digit = surest(seen[i]);
        digits[i] = digit.digit;
        sight.probability = std::min(sight.probability, digit.probability);
    }
    const int hours = 10 * digits[0] + digits[1];
    const int minutes = 10 * digits[2] + digits[3];
    const int seconds = 10 * digits[4] + digits[5];
    if (hours < 24 && minutes < 60 && seconds < 60) {
        sight.second_of_day = 3600 * hours + 60 * minutes + seconds;
    }
    return sight;
}

// Whether an M stands behind the last digit, within three pitches: AM or PM.
bool letter_behind(const MeanLogits& letters, const GroupedCells& cells, const TextBand& band) {
    const double last_px = cells.digit_px.back();
    for (double pitches = 1.0; pitches <= 3.5; pitches += 1.0 / kStepsPerPitch) {
        if (letters.at(letters.mark, last_px + pitches * band.pitch_px) > 0.5F) return true;
    }
    return false;
}

std::string date_in(const GlyphMap& map, const TextBand& band) {
    constexpr std::array kMarks{Glyph::slash, Glyph::minus, Glyph::point};
    constexpr float kClear = 0.8F;
    constexpr std::array<std::array<int, 3>, 2> kForms{{{2, 2, 4}, {4, 2, 2}}};
    const MeanLogits means = mean_logits(map, kMarks);
    GroupedCells best;
    std::array<int, 3> form{};
    for (const auto& groups : kForms) {
        GroupedCells cells = find_groups(means, band, groups);
        if (cells.score < 1.0 || cells.marks < 0.0 || cells.score <= best.score) continue;
        best = std::move(cells);
        form = groups;
    }
    if (best.score < 0.0) return {};
    std::vector<std::string> groups;
    auto cell = best.digit_px.begin();
    for (const int count : form) {
        groups.emplace_back();
        for (int i = 0; i < count; ++i, ++cell) {
            const auto place =
                static_cast<int>(std::lround((*cell - means.left_px) / means.step_px));
            GlyphLogProbs mean{};
            for (int crop = 0; crop < map.crops(); ++crop) {
                const GlyphLogProbs& seen = map.at(crop, place);
                for (std::size_t k = 0; k < mean.size(); ++k) {
                    mean[k] += seen[k] / static_cast<float>(map.crops());
                }
            }
            const SeenDigit digit = surest(mean);
            if (digit.probability < kClear) return {};
            groups.back() += static_cast<char>('0' + digit.digit);
        }
    }
    return date_of(groups);
}

}  // namespace

ClockStart clock_start(std::span<const ClockSight> sights) {
    constexpr float kClear = 0.6F;
    constexpr std::size_t kFewest = 12;
    constexpr double kAgree = 0.9;
    constexpr double kShortest_s = 4.0;
    constexpr double kLate_s = 0.15;  // the picture may be renewed late
    constexpr double kDay_s = 86400.0;
    ClockStart result;
    struct Vote {
        double offset_s = 0.0;  // shown minus time in the clip
        double time_s = 0.0;
        int second = 0;
    };
    std::vector<Vote> votes;
    std::size_t clear = 0;
    for (const ClockSight& sight : sights) {
        if (sight.probability < kClear) continue;
        ++clear;
        if (sight.second_of_day < 0) continue;
        votes.push_back({sight.second_of_day - sight.time_s, sight.time_s, sight.second_of_day});
    }
    if (clear < kFewest || 3 * clear < sights.size() || votes.empty()) {
        result.why_not = "its digits are not clear enough";
        return result;
    }
    // A clip may run over midnight; starts are compared on the day of the first sight.
    for (Vote& vote : votes) {
        const double apart_s = vote.offset_s - votes.front().offset_s;
        vote.offset_s -= kDay_s * std::round(apart_s / kDay_s);
    }
    std::stable_sort(votes.begin(), votes.end(),
                     [](const Vote& a, const Vote& b) { return a.offset_s < b.offset_s; });
    std::size_t best_from = 0;
    std::size_t best_count = 0;
    for (std::size_t from = 0, to = 0; from < votes.size(); ++from) {
        while (to < votes.size() && votes[to].offset_s < votes[from].offset_s + 1.0 + kLate_s) ++to;
        if (to - from <= best_count) continue;
        best_from = from;
        best_count = to - from;
    }
    const std::span<const Vote> agreed(votes.data() + best_from, best_count);
    std::set<int> seconds;
    double first_s = agreed.front().time_s;
    double last_s = first_s;
    for (const Vote& vote : agreed) {
        seconds.insert(vote.second);
        first_s = std::min(first_s, vote.time_s);
        last_s = std::max(last_s, vote.time_s);
    }
    double all_last_s = last_s;
    for (const Vote& vote : votes) all_last_s = std::max(all_last_s, vote.time_s);
    const bool to_the_end = all_last_s - last_s <= std::max(2.0, 0.03 * (all_last_s - first_s));
    if (static_cast<double>(best_count) < kAgree * static_cast<double>(clear) || !to_the_end) {
        result.why_not =
            "it does not gain a second a second: it is no clock, or the recorder was "
            "paused on the way";
        return result;
    }
    if (seconds.size() < 4 || last_s - first_s < kShortest_s) {
        result.why_not = "the clip is too short to see it tick";
        return result;
    }
    const double least_s = agreed.back().offset_s;        // the clip began no earlier,
    const double most_s = agreed.front().offset_s + 1.0;  // and before this
    result.start_s = 0.5 * (least_s + most_s);
    result.bound_s = std::max(0.1, 0.5 * std::abs(most_s - least_s) + kLate_s);
    if (result.start_s < 0.0) result.start_s += kDay_s;
    if (result.start_s >= kDay_s) result.start_s -= kDay_s;
    // A recorder that counts its own running time starts from nought.
    constexpr double kCountsFromNought_s = 600.0;
    if (result.start_s < kCountsFromNought_s) {
        result.why_not = "it starts from about nought, so it may count the recording's length";
    }
    return result;
}

std::string date_of(std::span<const std::string> groups) {
    if (groups.size() != 3) return {};
    const auto number = [&](std::size_t i) { return std::stoi(groups[i]); };
    int year = 0;
    int month = 0;
    int day = 0;
    if (groups[0].size() == 4) {
        year = number(0);
        month = number(1);
        day = number(2);
    } else if (groups[2].size() == 4) {
        year = number(2);
        const bool day_first = number(0) > 12;
        if (!day_first && number(1) <= 12 && number(0) != number(1)) return {};
        day = number(day_first ? 0 : 1);
        month = number(day_first ? 1 : 0);
    }
    const bool valid =
        year >= 1980 && year < 2100 && month >= 1 && month <= 12 && day >= 1 && day <= 31;
    return valid ? fmt::format("{:04}-{:02}-{:02}", year, month, day) : std::string();
}

ClockReading read_clock(const LocatedLine& line, std::span<const LineCrop> crops,
                        const TextBand& band, const GlyphNet& net) {
    ClockReading reading;
    const double from_px = std::max(0.0, line.text.x - band.pitch_px);
    const double to_px =
        std::min<double>(line.crop.width, line.text.x + line.text.width + 3.0 * band.pitch_px);
    const std::vector<const LineCrop*> of_map = spread_crops(crops, kCropsOfMap);
    const GlyphMap map(of_map, net, strokes_of(line), band, from_px, to_px, kStepsPerPitch);
    if (map.places() == 0) return reading;
    reading.date = date_in(map, band);
    constexpr std::array kColon{Glyph::colon};
    constexpr std::array kClock{2, 2, 2};
    const MeanLogits means = mean_logits(map, kColon);
    const GroupedCells cells = find_groups(means, band, kClock);
    if (cells.score < 0.0) return reading;
    std::vector<ClockSight> sights;
    for (const LineCrop* crop : spread_crops(crops, kMostSights)) {
        sights.push_back(sight_of(crop->time_s, look_at(*crop, line, band, cells, net)));
    }
    const ClockStart start = clock_start(sights);
    reading.why_not = start.why_not;
    if (!start.why_not.empty()) return reading;
    OverlayClock clock;
    clock.box = {line.crop.x + static_cast<int>(std::lround(cells.digit_px.front())),
                 line.crop.y + static_cast<int>(std::lround(band.top_px)),
                 static_cast<int>(
                     std::lround(cells.digit_px.back() - cells.digit_px.front() + band.pitch_px)),
                 static_cast<int>(std::lround(band.height_px))};
    clock.start_s = start.start_s;
    clock.bound_s = start.bound_s;
    constexpr std::array kMeridiem{Glyph::letter_m};
    constexpr double kHalfDay_s = 43200.0;
    if (start.start_s < kHalfDay_s + 3600.0 && start.start_s >= 3600.0) {
        clock.twelve_hour = letter_behind(mean_logits(map, kMeridiem), cells, band);
        if (clock.twelve_hour && clock.start_s >= kHalfDay_s) clock.start_s -= kHalfDay_s;
    }
    reading.clock = clock;
    return reading;
}

}  // namespace sondeline
