#include "footage/line_reader.hpp"

#include <algorithm>

#include <gtest/gtest.h>

#include "footage/glyph_net.hpp"

namespace sondeline {
namespace {

// Metres and hundredths, ten samples a second; `step` hundredths from sample `i` to the next. Where
// they are misread, a digit from `first` on looks in the last cell for sure like one `off` less.
LineReading pushed(std::int64_t (*step)(std::size_t i), int first = 10, int off = 0) {
    constexpr std::uint8_t kAgainst = 100;
    LineStructure structure;
    structure.shape = fixed_cells(1, 2, Padding::zeros, SignPlace::none);
    structure.format.integer_cells = 1;
    structure.format.decimals = 2;
    structure.format.unit = CounterUnit::metre;
    std::vector<LineEvidence> evidence(250);
    std::int64_t ticks = 10;
    for (std::size_t i = 0; i < evidence.size(); ++i) {
        evidence[i].time_s = 0.1 * static_cast<double>(i);
        for (int cell = 0; cell < 3; ++cell) {
            evidence[i].cost[cell].fill(kAgainst);
            int shown = class_in_cell(structure.shape.layouts.front().cells[cell], ticks);
            if (cell == 2 && shown >= first) shown -= off;
            evidence[i].cost[cell][shown] = 0;
        }
        ticks += step(i);
    }
    return decode_line(structure, evidence);
}

std::int64_t fast(std::size_t i) {
    return 2 + static_cast<std::int64_t>(i % 3);
}

TEST(LineReading, SaysWhichLastDigitsNeverComeThoughAllOthersDo) {
    EXPECT_NE(pushed(fast, 8, 2).doubt.find("never ends in 8 or 9"), std::string::npos);
    EXPECT_EQ(pushed(fast).doubt, "");
}

TEST(LineReading, WithholdsTheDigitThatIsReadForOneThatNeverComes) {
    const LineReading misread = pushed(fast, 9, 1);
    EXPECT_NE(misread.doubt.find("never ends in 9"), std::string::npos);
    EXPECT_NE(misread.doubt.find("far too often in 8"), std::string::npos);
    int told = 0;
    for (const LineSample& sample : misread.samples) {
        if (sample.unread != Unread::no) continue;
        ++told;
        EXPECT_NE(sample.ticks % 10, 8) << sample.ticks;
    }
    EXPECT_GT(told, 140);
    EXPECT_GT(std::ranges::count(pushed(fast).samples, Unread::no, &LineSample::unread), 170);
}

}  // namespace
}  // namespace sondeline
