#include "footage/inclination.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <vector>

#include "footage/glyph_map.hpp"

namespace sondeline {

namespace {

constexpr double kSteepest = 45.0;  // percent or degrees
constexpr double kStand_s = 1.5;

struct Range {
    double low = 0.0;
    double high = 0.0;
    double size() const { return high - low; }
};

Range range_of(std::span<const PairedValue> values) {
    Range range{values.front().value, values.front().value};
    for (const PairedValue& value : values) {
        range.low = std::min(range.low, value.value);
        range.high = std::max(range.high, value.value);
    }
    return range;
}

// Share of the stands of the head in which the value keeps within two ticks; nothing for fewer than
// two stands.
std::optional<double> rests_with_head(std::span<const PairedValue> values, double tick) {
    int stands = 0;
    int still = 0;
    for (std::size_t from = 0; from < values.size();) {
        std::size_t to = from;
        while (to + 1 < values.size() && values[to + 1].counter == values[from].counter) ++to;
        const auto stand = values.subspan(from, to - from + 1);
        if (stand.back().time_s - stand.front().time_s >= kStand_s) {
            ++stands;
            still += range_of(stand).size() <= 2.01 * tick ? 1 : 0;
        }
        from = to + 1;
    }
    if (stands < 2) return std::nullopt;
    return static_cast<double>(still) / stands;
}

// Median difference between what is shown at the same counter at two times well apart; nothing for
// fewer than ten such places.
std::optional<double> difference_at_same_place(std::span<const PairedValue> values,
                                               double counter_tick) {
    constexpr double kApart_s = 2.5;
    constexpr std::size_t kFewest = 10;
    std::map<long, const PairedValue*> last_by_place;
    std::map<long, double> differences;  // one for each place
    for (const PairedValue& value : values) {
        const long place = std::lround(value.counter / counter_tick);
        const PairedValue*& last = last_by_place[place];
        if (last != nullptr && value.time_s - last->time_s >= kApart_s) {
            differences.try_emplace(place, std::abs(value.value - last->value));
        }
        last = &value;
    }
    if (differences.size() < kFewest) return std::nullopt;
    std::vector<double> sorted;
    sorted.reserve(differences.size());
    for (const auto& [place, difference] : differences) sorted.push_back(difference);
    std::sort(sorted.begin(), sorted.end());
    return sorted[sorted.size() / 2];
}

// A second counter runs with the first one.
bool runs_with_counter(std::span<const PairedValue> values) {
    double n = 0.0, x = 0.0, y = 0.0, xx = 0.0, yy = 0.0, xy = 0.0;
    for (const PairedValue& value : values) {
        n += 1.0;
        x += value.counter;
        y += value.value;
        xx += value.counter * value.counter;
        yy += value.value * value.value;
        xy += value.counter * value.value;
    }
    const double spread_x = xx - x * x / n;
    const double spread_y = yy - y * y / n;
    if (spread_x <= 0.0 || spread_y <= 0.0) return false;
    return std::abs(xy - x * y / n) > 0.97 * std::sqrt(spread_x * spread_y);
}

// Brightness of strokes over their surroundings, averaged over the crops, right of the last cell.
cv::Mat1f mean_behind(const LineStructure& structure, std::span<const LineCrop> crops,
                      const cv::Rect& where) {
    cv::Mat1f sum(where.size(), 0.0F);
    int used = 0;
    for (const LineCrop* crop : spread_crops(crops, 48)) {
        if ((where & cv::Rect({0, 0}, crop->luma.size())) != where) return {};
        cv::Mat1f part;
        crop->luma(where).convertTo(part, CV_32F, structure.line.light_on_dark ? 1.0 : -1.0);
        sum += part;
        ++used;
    }
    return used > 0 ? cv::Mat1f(sum / used) : cv::Mat1f();
}

}  // namespace

InclinationUnit mark_behind(const LineStructure& structure, std::span<const LineCrop> crops) {
    if (structure.cell_left_px.empty() || structure.format.unit != CounterUnit::unknown) {
        return InclinationUnit::unknown;
    }
    float right_px = 0.0F;
    for (std::size_t i = 0; i < structure.cell_left_px.size(); ++i) {
        right_px = std::max(right_px, structure.cell_left_px[i] + structure.cell_width_px[i]);
    }
    const float pitch_px = structure.cell_width_px.back();
    const cv::Rect where(static_cast<int>(std::lround(right_px)),
                         static_cast<int>(std::lround(structure.row_top_px)),
                         static_cast<int>(std::lround(2.0F * pitch_px)),
                         static_cast<int>(std::lround(structure.row_height_px)));
    const cv::Mat1f mean = mean_behind(structure, crops, where);
    if (mean.empty() || mean.rows < 6) return InclinationUnit::unknown;
    double dark = 0.0;
    double light = 0.0;
    cv::minMaxLoc(mean, &dark, &light);
    constexpr double kContrast =
        40.0;  // grey levels: strokes stand still, what is behind evens out
    if (light - dark < kContrast) return InclinationUnit::unknown;
    const double level = dark + 0.6 * (light - dark);
    int top = mean.rows;
    int bottom = -1;
    int left = mean.cols;
    int right = -1;
    for (int y = 0; y < mean.rows; ++y) {
        for (int x = 0; x < mean.cols; ++x) {
            if (mean(y, x) < level) continue;
            top = std::min(top, y);
            bottom = std::max(bottom, y);
            left = std::min(left, x);
            right = std::max(right, x);
        }
    }
    const double height = static_cast<double>(bottom - top + 1) / mean.rows;
    const double width = static_cast<double>(right - left + 1) / pitch_px;
    const bool high_up = static_cast<double>(bottom) < 0.6 * mean.rows;
    if (high_up && height < 0.6 && width < 0.8) return InclinationUnit::degree;
    if (height > 0.8 && width > 0.6) return InclinationUnit::percent;
    return InclinationUnit::unknown;
}

bool is_inclination(std::span<const PairedValue> values, double tick, double counter_tick,
                    bool unit_seen) {
    constexpr std::size_t kFewest = 50;
    constexpr double kStill = 0.75;
    if (values.size() < kFewest) return false;
    const Range range = range_of(values);
    if (range.size() < 4.5 * tick || std::max(-range.low, range.high) > kSteepest) return false;
    if (runs_with_counter(values)) return false;
    const std::optional<double> still = rests_with_head(values, tick);
    if (!still || *still < kStill) return false;
    const std::optional<double> difference = difference_at_same_place(values, counter_tick);
    if (difference) return *difference <= std::max(2.01 * tick, 0.1 * range.size());
    return unit_seen;
}

}  // namespace sondeline
