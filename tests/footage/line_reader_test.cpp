#include "footage/line_reader.hpp"

#include <random>

#include <gtest/gtest.h>

#include "footage/glyph_net.hpp"

namespace sondeline {
namespace {

// Metres and hundredths, ten samples a second, pushed by two to five hundredths from one to the
// next. Where they are misread, 8 and 9 in the last cell look for sure like 6 and 7.
std::string doubt_of_a_fast_push(bool misread) {
    constexpr std::uint8_t kAgainst = 100;
    LineStructure structure;
    structure.shape = fixed_cells(1, 2, Padding::zeros, SignPlace::none);
    structure.format.integer_cells = 1;
    structure.format.decimals = 2;
    structure.format.unit = CounterUnit::metre;
    std::mt19937 chance(7);
    std::vector<LineEvidence> evidence(160);
    std::int64_t ticks = 10;
    for (std::size_t i = 0; i < evidence.size(); ++i) {
        evidence[i].time_s = 0.1 * static_cast<double>(i);
        for (int cell = 0; cell < 3; ++cell) {
            evidence[i].cost[cell].fill(kAgainst);
            int shown = class_in_cell(structure.shape.layouts.front().cells[cell], ticks);
            if (misread && cell == 2 && shown >= 8) shown -= 2;
            evidence[i].cost[cell][shown] = 0;
        }
        ticks += 2 + chance() % 4;
    }
    return decode_line(structure, evidence).doubt;
}

TEST(LineReading, SaysWhichLastDigitsNeverComeThoughAllOthersDo) {
    EXPECT_NE(doubt_of_a_fast_push(true).find("never ends in 8 or 9"), std::string::npos);
    EXPECT_EQ(doubt_of_a_fast_push(false), "");
}

}  // namespace
}  // namespace sondeline
