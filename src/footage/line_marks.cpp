#include "footage/line_marks.hpp"

#include <algorithm>

namespace sondeline {

namespace {

// Whether some crop in three clearly shows a digit within a pitch and a quarter of the place, on
// the given side of it. Slanted letters of a label look a little like digits.
bool digit_beside(const GlyphMap& map, int place, int side) {
    constexpr float kClear = 1.5F;
    const int pitch = map.steps_per_pitch();
    int crops = 0;
    for (int crop = 0; crop < map.crops(); ++crop) {
        bool seen = false;
        for (int steps = pitch / 2; steps <= pitch * 5 / 4; ++steps) {
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
        if (digit_beside(map, place, -1) && digit_beside(map, place, 1)) return true;
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
