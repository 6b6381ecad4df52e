#include "footage/left_out_digit.hpp"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "footage/drawn_line.hpp"

namespace sondeline {
namespace {

// Tenths; the first `longer` of sixty crops show hundredths.
std::vector<std::string> tenths(int longer, const char* behind = "") {
    std::vector<std::string> texts;
    for (int i = 0; i < 60; ++i) {
        texts.push_back(i < longer ? fmt::format("{:.2f}", 1.2 + 0.01 * i)
                                   : fmt::format("{:.1f}{}", 1.2 + 0.1 * (i / 2), behind));
    }
    return texts;
}

bool leaves_out(const std::vector<std::string>& texts) {
    const DrawnLine drawn = drawn_line(texts);
    NumberGrid grid;
    grid.band = drawn.band;
    grid.first_px = drawn.first_px;
    grid.gap_px = drawn.band.pitch_px;
    grid.decimals = 1;
    const std::vector<const LineCrop*> crops = drawn.pointers();
    const GlyphNet net;
    return leaves_out_a_digit(tried(grid, drawn.line, crops, net), crops, net);
}

TEST(LeftOutDigit, IsSeenWhereItStandsInMostCrops) {
    EXPECT_TRUE(leaves_out(tenths(60)));
}

TEST(LeftOutDigit, IsSeenWhereTheNumberIsLongerInAPartOfTheClipOnly) {
    EXPECT_TRUE(leaves_out(tenths(12)));
}

TEST(LeftOutDigit, IsNotSeenBehindANumberThatEndsThere) {
    EXPECT_FALSE(leaves_out(tenths(0)));
}

TEST(LeftOutDigit, IsNoLetterThatNeverChanges) {
    EXPECT_FALSE(leaves_out(tenths(0, "B")));
    EXPECT_FALSE(leaves_out(tenths(0, " m")));
}

}  // namespace
}  // namespace sondeline
