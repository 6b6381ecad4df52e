#include "footage/text_bands.hpp"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "footage/drawn_line.hpp"

namespace sondeline {
namespace {

// Tenths from `first` on, one more every other crop.
std::vector<std::string> tenths(int first, int crops, int width) {
    std::vector<std::string> texts;
    for (int i = 0; i < crops; ++i) {
        texts.push_back(fmt::format("{:{}.1f}", (first + i / 2) / 10.0, width));
    }
    return texts;
}

// Of lettering that is cut by scan lines the network makes little when light and dark are
// exchanged.
TEST(BandsEitherWay, TakeStrokesAsLightOrDarkAsIsClearer) {
    const GlyphNet net;
    for (const int height_px : {12, 18, 24}) {
        DrawnLine drawn = drawn_line(tenths(120, 40, 0), "C-64-Regular.ttf", height_px);
        EXPECT_TRUE(bands_either_way(drawn.line, drawn.crops, net, 1).at(0).light_on_dark);
        drawn.line.light_on_dark = false;
        EXPECT_TRUE(bands_either_way(drawn.line, drawn.crops, net, 1).at(0).light_on_dark);
    }
}

// Taken for dark strokes, the outline closes a 1 as if it were a 0; in the band that fits it so the
// network is not much surer the other way.
TEST(BandsEitherWay, LookForBandsOfTheOtherWayWhereItIsNoWorse) {
    const GlyphNet net;
    struct Case {
        const char* face;
        int wall;
    };
    for (const Case& each : {Case{"Hermit-medium.otf", 150}, Case{"DejaVuSansMono.ttf", 120}}) {
        DrawnLine drawn = drawn_line(tenths(10, 40, 0), each.face, 16);
        outline(drawn, each.wall);
        drawn.line.light_on_dark = false;
        EXPECT_TRUE(bands_either_way(drawn.line, drawn.crops, net, 1).at(0).light_on_dark)
            << each.face;
    }
}

// The bar of a bold 7 is level: its upright strokes alone would put the top a fifth too low.
TEST(LikelyBands, ReachFromTopToBottomOfDigitsThatBarsClose) {
    const GlyphNet net;
    const DrawnLine drawn = drawn_line(tenths(772, 30, 0), "DejaVuSansMono-Bold.ttf", 28);
    const std::vector<TextBand> bands = likely_bands(drawn.line, drawn.crops, net, 1);
    ASSERT_EQ(bands.size(), 1U);
    EXPECT_NEAR(bands[0].top_px, drawn.band.top_px, 0.08 * drawn.band.height_px);
    EXPECT_NEAR(bands[0].height_px, drawn.band.height_px, 0.12 * drawn.band.height_px);
}

// The upper edge of a box about the text is no part of its digits.
TEST(LikelyBands, LeaveOutTheEdgeOfABox) {
    const GlyphNet net;
    DrawnLine drawn = drawn_line(tenths(772, 30, 0), "DejaVuSansMono.ttf", 18);
    const int edge = static_cast<int>(drawn.band.top_px) - 9;
    for (LineCrop& crop : drawn.crops) crop.luma.row(edge).setTo(200);
    drawn.line.text.height += drawn.line.text.y - edge;
    drawn.line.text.y = edge;
    const std::vector<TextBand> bands = likely_bands(drawn.line, drawn.crops, net, 1);
    ASSERT_EQ(bands.size(), 1U);
    EXPECT_NEAR(bands[0].top_px, drawn.band.top_px, 0.12 * drawn.band.height_px);
    EXPECT_NEAR(bands[0].height_px, drawn.band.height_px, 0.15 * drawn.band.height_px);
}

}  // namespace
}  // namespace sondeline
