#include "footage/faint_cells.hpp"

#include <cmath>
#include <numeric>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "footage/drawn_line.hpp"
#include "footage/line_cells.hpp"
#include "footage/structure_search.hpp"

namespace sondeline {
namespace {

constexpr std::uint8_t kAgainst = 100;  // cost of what a clear cell does not show

// One cell that shows a 3 in `count` samples.
std::vector<LineEvidence> threes(std::size_t count, std::uint8_t edges) {
    LineEvidence seen;
    seen.cost[0].fill(kAgainst);
    seen.cost[0][3] = 0;
    seen.edges[0] = edges;
    return std::vector<LineEvidence>(count, seen);
}

std::vector<LineEvidence> weakened(const std::vector<LineEvidence>& evidence) {
    return with_faint_cells_weakened(fixed_cells(1, 0, Padding::zeros, SignPlace::none), evidence);
}

TEST(FaintCells, SpeakTheMoreWeaklyTheLessTheirStrokesStandOut) {
    std::vector<LineEvidence> evidence = threes(60, 40);
    evidence[10].edges[0] = 12;
    evidence[20].edges[0] = 4;
    const std::vector<LineEvidence> after = weakened(evidence);
    EXPECT_EQ(after[0].cost, evidence[0].cost);
    const auto against = [&](std::size_t i) { return after[i].cost[0][7] - after[i].cost[0][3]; };
    EXPECT_LT(against(10), kAgainst);
    EXPECT_LT(against(20), against(10) / 2);
    EXPECT_GE(against(20), 0);
    for (const std::size_t i : {10, 20}) {
        const double sum = std::accumulate(
            after[i].cost[0].begin(), after[i].cost[0].end(), 0.0,
            [](double s, std::uint8_t c) { return s + std::exp(-1.0 * c / cost_scale); });
        EXPECT_NEAR(sum, 1.0, 0.05) << i;  // costs are kept in sixteenths of a nat
    }
}

TEST(FaintCells, AreNoneWhereAllSamplesAreAlike) {
    const std::vector<LineEvidence> evidence = threes(60, 4);
    EXPECT_EQ(weakened(evidence)[30].cost, evidence[30].cost);
}

TEST(FaintCells, ThatShowNoDigitStayAsTheyAre) {
    std::vector<LineEvidence> evidence = threes(60, 40);
    evidence[10].edges[0] = 0;
    std::swap(evidence[10].cost[0][3], evidence[10].cost[0][other_class]);
    EXPECT_EQ(weakened(evidence)[10].cost, evidence[10].cost);
}

TEST(EdgesOfACell, GrowWithTheContrastOfItsStrokesAndNotWithEvenLight) {
    CellGlyphs glyphs;
    glyphs.count = 3;
    glyphs.patches.resize(3);
    for (int y = 0; y < patch_height; ++y) {
        for (int x = 0; x < patch_width; ++x) {
            const std::size_t at = static_cast<std::size_t>(y) * patch_width + x;
            const float stroke = x / 3 % 2 == 0 ? 60.0F : 0.0F;
            glyphs.patches[0][at] = stroke;
            glyphs.patches[1][at] = stroke / 4.0F;
            glyphs.patches[2][at] = stroke / 4.0F + 9.0F * x + 4.0F * y;
        }
    }
    const auto edges = edges_of(glyphs);
    EXPECT_GT(edges[0], 20);
    EXPECT_NEAR(edges[1], edges[0] / 4.0, 1.0);
    EXPECT_EQ(edges[2], edges[1]);
}

// Compression keeps a ghost of an earlier number while light hides the one that is drawn.
TEST(FaintCells, DoNotMakeAReadingOfTheGhostOfAnEarlierNumber) {
    const GlyphNet net;
    std::vector<std::string> texts;
    texts.reserve(126);
    for (int i = 0; i < 126; ++i) {
        const int tenths = 40 + i / 2;
        texts.push_back(fmt::format("{}.{}", tenths / 10, tenths % 10));
    }
    DrawnLine drawn = drawn_line(texts);
    const cv::Mat1b ghost = 0.1 * drawn.crops[64].luma + 200;  // 7.2
    for (int i = 64; i < 80; ++i) drawn.crops[i].luma = ghost.clone();
    const LineSearch search = find_line_structures(drawn.line, drawn.crops, net);
    ASSERT_FALSE(search.structures.empty());
    std::vector<LineEvidence> evidence;
    for (const LineCrop& crop : drawn.crops) {
        evidence.push_back(line_evidence(crop, search.structures.front(), net));
    }
    const LineReading reading = decode_line(search.structures.front(), evidence);
    int told = 0;
    int wrong = 0;
    for (int i = 0; i < 126; ++i) {
        if (reading.samples[i].unread != Unread::no) continue;
        ++told;
        wrong += reading.samples[i].ticks == 40 + i / 2 ? 0 : 1;
    }
    EXPECT_EQ(wrong, 0);
    EXPECT_GE(told, 100);
}

}  // namespace
}  // namespace sondeline
