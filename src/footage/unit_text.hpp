// The unit written behind (or before) a counter: ft, FT, ', m, M.
#pragma once

#include <span>

#include "footage/glyph_map.hpp"

namespace sondeline {

struct UnitGuess {
    CounterUnit unit = CounterUnit::unknown;
    double probability = 0.0;  // 0 when unknown
};

// Where a number begins and ends in one crop.
struct NumberSpan {
    const LineCrop* crop = nullptr;
    double from_px = 0.0;
    double to_px = 0.0;
};

UnitGuess unit_beside(std::span<const NumberSpan> numbers, const GlyphNet& net, Strokes strokes,
                      const TextBand& band);

}  // namespace sondeline
