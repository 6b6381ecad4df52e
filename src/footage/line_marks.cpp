#include "footage/line_marks.hpp"

#include <algorithm>

namespace sondeline {

namespace {

// Steps of the map from one character to the next, or to the one after that.
cv::Range next_to(int pitch) {
    return {pitch / 2, pitch * 5 / 4 + 1};
}
cv::Range next_but_one(int pitch) {
    return {pitch * 7 / 4, pitch * 5 / 2 + 1};
}

// Whether some crop in three clearly shows a digit that far from the place, on the given side of
// it. Slanted letters of a label look a little like digits.
bool digit_beside(const GlyphMap& map, int place, int side, const cv::Range& away) {
    constexpr float kClear = 1.5F;
    int crops = 0;
    for (int crop = 0; crop < map.crops(); ++crop) {
        bool seen = false;
        for (int steps = away.start; steps < away.end; ++steps) {
            seen = seen || map.digit(crop, place + side * steps) > kClear;
        }
        crops += seen ? 1 : 0;
    }
    return crops * 3 >= map.crops();
}

}  // namespace

bool holds_mark(const GlyphMap& map, const NumberGrid& grid, Glyph mark, double pitches_before) {
    const double from = grid.first_px - pitches_before * grid.band.pitch_px;
    const double to =
        cell_left_px(grid, grid.places, grid.places + grid.decimals - 1) + 2.0 * grid.band.pitch_px;
    for (int place = 0; place < map.places(); ++place) {
        const double left = map.left_px(place);
        if (left < from || left > to || map.mean_logit(place, mark) <= 0.5F) continue;
        const cv::Range beside = next_to(map.steps_per_pitch());
        if (!digit_beside(map, place, -1, beside) || !digit_beside(map, place, 1, beside)) continue;
        // Behind the colon of a clock stand two digits; the point of some faces stands as high.
        const cv::Range second = next_but_one(map.steps_per_pitch());
        if (mark != Glyph::colon || digit_beside(map, place, 1, second)) return true;
    }
    return false;
}

bool digits_differ(const GlyphMap& map) {
    constexpr float kSureDigit = 2.0F;
    for (int place = 0; place < map.places(); ++place) {
        int first = -1;
        for (int crop = 0; crop < map.crops(); ++crop) {
            if (map.digit(crop, place) < kSureDigit) continue;
            const GlyphLogProbs& seen = map.at(crop, place);
            const int digit =
                static_cast<int>(std::max_element(seen.begin(), seen.begin() + 10) - seen.begin());
            if (first >= 0 && digit != first) return true;
            first = digit;
        }
    }
    return false;
}

std::vector<NumberGrid> grids_behind_colons(const GlyphMap& map, std::size_t most) {
    constexpr int kMany = 100;
    std::vector<NumberGrid> grids = grids_in(map, kMany);
    std::erase_if(grids,
                  [&](const NumberGrid& grid) { return holds_mark(map, grid, Glyph::colon); });
    if (grids.size() > most) grids.resize(most);
    return grids;
}

}  // namespace sondeline
