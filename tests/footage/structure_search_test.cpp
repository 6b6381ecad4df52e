#include "footage/structure_search.hpp"

#include <algorithm>

#include <fmt/format.h>
#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

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

LineReading read(const LineStructure& structure, const DrawnLine& drawn, const GlyphNet& net) {
    std::vector<LineEvidence> evidence;
    for (const LineCrop& crop : drawn.crops) {
        evidence.push_back(line_evidence(crop, structure, net));
    }
    return decode_line(structure, evidence);
}

// Samples that are read, and how many of them are not the number drawn.
std::pair<int, int> read_and_wrong(const LineReading& reading, int first) {
    std::pair<int, int> counts;
    for (std::size_t i = 0; i < reading.samples.size(); ++i) {
        if (reading.samples[i].unread != Unread::no) continue;
        ++counts.first;
        counts.second += reading.samples[i].ticks == first + static_cast<int>(i) / 2 ? 0 : 1;
    }
    return counts;
}

TEST(StructureSearch, FindsTheDigitThatANumberGrowsByAtItsVeryEnd) {
    const GlyphNet net;
    const DrawnLine drawn = drawn_line(tenths(40, 126, 0));  // 4.0 … 10.2, three values past 9.9
    const LineSearch search = find_line_structures(drawn.line, drawn.crops, net);
    ASSERT_FALSE(search.structures.empty());
    const LineReading reading = read(search.structures.front(), drawn, net);
    EXPECT_EQ(reading.samples.back().ticks, 102);
    EXPECT_EQ(read_and_wrong(reading, 40).second, 0);
    EXPECT_GE(read_and_wrong(reading, 40).first, 120);
}

// Taken for dark strokes, outlines can be read as well, and a 1 as a 0.
TEST(StructureSearch, ReadsOutlinedStrokesThatSeemDarkTheOtherWayRound) {
    const GlyphNet net;
    for (const char* face : {"Hermit-medium.otf", "Glass_TTY_VT220.ttf"}) {
        DrawnLine drawn = drawn_line(tenths(2, 90, 0), face, 18);  // 0.2 … 4.6
        outline(drawn, 150);
        drawn.line.light_on_dark = false;
        const LineSearch search = find_line_structures(drawn.line, drawn.crops, net);
        ASSERT_FALSE(search.structures.empty());
        const auto [told, wrong] = read_and_wrong(read(search.structures.front(), drawn, net), 2);
        EXPECT_EQ(wrong, 0) << face;
        EXPECT_GE(told, 85) << face;
    }
}

TEST(StructureSearch, KeepsOfTheCropsItLookedAtWhatIsReadInThemAfterwards) {
    const GlyphNet net;
    const DrawnLine drawn = drawn_line(tenths(40, 126, 0));
    const LineSearch search = find_line_structures(drawn.line, drawn.crops, net);
    ASSERT_FALSE(search.structures.empty());
    for (const LineStructure& structure : search.structures) {
        ASSERT_FALSE(structure.seen.empty());
        for (const SeenCrop& seen : structure.seen) {
            const LineEvidence later = line_evidence(drawn.crops[seen.crop], structure, net);
            EXPECT_EQ(seen.evidence.cost, later.cost);
            EXPECT_EQ(seen.evidence.edges, later.edges);
            EXPECT_EQ(seen.evidence.time_s, later.time_s);
            EXPECT_EQ(seen.evidence.picture_motion, later.picture_motion);
        }
    }
}

// Blanks of DejaVu Sans are half as wide as its digits.
TEST(StructureSearch, FollowsANumberThatMovesByPartOfADigitAsItGrows) {
    const GlyphNet net;
    const DrawnLine drawn = drawn_line(tenths(80, 90, 5), "DejaVuSans-Bold.ttf");  // 8.0 … 12.4
    const LineSearch search = find_line_structures(drawn.line, drawn.crops, net);
    ASSERT_FALSE(search.structures.empty());
    EXPECT_EQ(search.structures.front().padding, Padding::part);
    const auto [told, wrong] = read_and_wrong(read(search.structures.front(), drawn, net), 80);
    EXPECT_EQ(wrong, 0);
    EXPECT_GE(told, 85);
}

// A display's point takes no room of its own.
TEST(StructureSearch, SeesThePointAtTheFeetOfADisplaysDigits) {
    const GlyphNet net;
    const DrawnLine drawn = drawn_line(tenths(85, 60, 0), "DSEG7Classic-Bold.ttf");
    const LineSearch search = find_line_structures(drawn.line, drawn.crops, net);
    ASSERT_FALSE(search.structures.empty());
    EXPECT_EQ(search.structures.front().format.decimals, 1);
    EXPECT_EQ(search.structures.front().doubt, "");
    EXPECT_FALSE(search.structures.front().format.point_in_doubt);
}

// Between the noughts that a number is padded with stands what looks like a point and never
// changes.
TEST(StructureSearch, TakesNoFootOfANoughtThatPadsForThePoint) {
    const GlyphNet net;
    const auto decimals_in = [&](const char* face, int height_px, int decimals) {
        std::vector<std::string> texts;
        for (int i = 0; i < 60; ++i) {
            const double value = (273 + 4 * i) / (decimals == 2 ? 100.0 : 10.0);
            texts.push_back(fmt::format("{:06.{}f}", value, decimals));
        }
        DrawnLine drawn = drawn_line(texts, face, height_px);
        for (LineCrop& crop : drawn.crops) {
            cv::GaussianBlur(crop.luma, crop.luma, {}, 0.05 * height_px, 0.04 * height_px);
        }
        const LineSearch search = find_line_structures(drawn.line, drawn.crops, net);
        return search.structures.empty() ? -1 : search.structures.front().format.decimals;
    };
    EXPECT_EQ(decimals_in("DSEG7Classic-Italic.ttf", 20, 2), 2);
    EXPECT_EQ(decimals_in("DSEG7Modern-Italic.ttf", 26, 2), 2);
    EXPECT_EQ(decimals_in("DSEG7Classic-Bold.ttf", 26, 1), 1);
}

// No point is drawn; the feet of digits that lean run into the gaps, but not those of 1, 4 and 7.
TEST(StructureSearch, TakesNoFootOfALeaningDigitForThePoint) {
    const GlyphNet net;
    std::vector<std::string> texts;
    for (int i = 0; i < 120; ++i) texts.push_back(fmt::format("{:03}", 200 + 2 * i));
    DrawnLine drawn = drawn_line(texts, "DSEG7Classic-Italic.ttf", 18);
    for (LineCrop& crop : drawn.crops) cv::GaussianBlur(crop.luma, crop.luma, {}, 0.9, 0.7);
    const LineSearch search = find_line_structures(drawn.line, drawn.crops, net);
    ASSERT_FALSE(search.structures.empty());
    EXPECT_TRUE(search.structures.front().format.point_in_doubt ||
                search.structures.front().format.decimals == 0);
}

// Its point is left out; the sign before it is in doubt as well, and must not hide that.
TEST(StructureSearch, MarksAPointInDoubtWhateverElseIs) {
    const GlyphNet net;
    std::vector<std::string> texts;
    for (int i = 0; i < 60; ++i) {
        const int tenths = 105 + i / 2;
        texts.push_back(fmt::format("-{} {}", tenths / 10, tenths % 10));
    }
    const DrawnLine drawn = drawn_line(texts);
    const LineSearch search = find_line_structures(drawn.line, drawn.crops, net);
    ASSERT_FALSE(search.structures.empty());
    EXPECT_NE(search.structures.front().doubt, "");
    EXPECT_TRUE(search.structures.front().format.point_in_doubt);
}

// Letters that are read as digits never change; the number behind them does.
TEST(StructureSearch, IsNotHeldUpByALabelThatReadsAsDigits) {
    const GlyphNet net;
    std::vector<std::string> texts;
    for (const std::string& number : tenths(12, 90, 0)) texts.push_back("DIST " + number);
    DrawnLine drawn = drawn_line(texts, "DejaVuSansMono.ttf", 26);
    drawn.line.text.width = 9 * static_cast<int>(drawn.band.pitch_px);
    const LineSearch search = find_line_structures(drawn.line, drawn.crops, net);
    ASSERT_FALSE(search.structures.empty());
    const auto [told, wrong] = read_and_wrong(read(search.structures.front(), drawn, net), 12);
    EXPECT_EQ(wrong, 0);
    EXPECT_GE(told, 80);
}

// An elapsed time and the counter in one row, close enough to be one line of text.
TEST(StructureSearch, FindsTheCounterCloseBehindAClock) {
    const GlyphNet net;
    std::vector<std::string> texts;
    std::vector<int> tenths_shown;
    for (int i = 0; i < 90; ++i) {  // pushed, held, pushed more slowly
        tenths_shown.push_back(12 + std::min(i, 40) / 2 + std::max(0, i - 60) / 5);
        texts.push_back(fmt::format("00:03:{:02} {:.1f}m", i / 10, tenths_shown.back() / 10.0));
    }
    DrawnLine drawn = drawn_line(texts);
    drawn.line.text.width = 13 * static_cast<int>(drawn.band.pitch_px);
    const LineSearch search = find_line_structures(drawn.line, drawn.crops, net);
    ASSERT_FALSE(search.structures.empty());
    EXPECT_TRUE(search.marked);  // the clock is read from it as well
    const LineReading reading = read(search.structures.front(), drawn, net);
    int right = 0;
    for (std::size_t i = 0; i < texts.size(); ++i) {
        right +=
            reading.samples[i].unread == Unread::no && reading.samples[i].ticks == tenths_shown[i];
    }
    EXPECT_GE(right, 80);
}

// The t of this face leans like a digit, so that the colon seems to stand between two.
TEST(StructureSearch, FindsTheCounterBehindAnItalicLabel) {
    const GlyphNet net;
    std::vector<std::string> texts;
    for (int i = 0; i < 90; ++i) {
        const int tenths_shown = 412 + std::min(i, 40) / 2 + std::max(0, i - 60) / 5;
        texts.push_back(fmt::format("Ft: {:05.1f}m", tenths_shown / 10.0));
    }
    DrawnLine drawn = drawn_line(texts, "FreeSerifBoldItalic.ttf", 26);
    drawn.line.text.width = 9 * static_cast<int>(drawn.band.pitch_px);
    const LineSearch search = find_line_structures(drawn.line, drawn.crops, net);
    ASSERT_FALSE(search.structures.empty());
    EXPECT_EQ(read(search.structures.front(), drawn, net).samples.back().ticks, 437);
}

TEST(StructureSearch, TakesNoPartOfAClockForACounter) {
    const GlyphNet net;
    std::vector<std::string> texts;
    for (int i = 0; i < 90; ++i) texts.push_back(fmt::format("14/05/2026 09:12:{:02}", i / 10));
    DrawnLine drawn = drawn_line(texts);
    drawn.line.text.width = 19 * static_cast<int>(drawn.band.pitch_px);
    const LineSearch search = find_line_structures(drawn.line, drawn.crops, net);
    EXPECT_NE(search.kind, LineKind::counter);
    EXPECT_TRUE(search.structures.empty());
    EXPECT_TRUE(search.marked);
}

// The 1 of 19.9 becomes a 2 at the carry: no layout without it makes it doubtful.
TEST(StructureSearch, KeepsAFirstDigitThatCountsOnAtTheCarry) {
    const GlyphNet net;
    std::vector<std::string> texts;
    for (int i = 0; i < 90; ++i) {
        texts.push_back(fmt::format("{:.1f}m", (199 + std::max(0, i - 17) / 2) / 10.0));
    }
    DrawnLine drawn = drawn_line(texts, "DejaVuSansMono.ttf", 39);
    drawn.line.text.width = 4 * static_cast<int>(drawn.band.pitch_px);
    const LineSearch search = find_line_structures(drawn.line, drawn.crops, net);
    ASSERT_FALSE(search.structures.empty());
    EXPECT_EQ(search.structures.front().doubt, "");
    EXPECT_EQ(read(search.structures.front(), drawn, net).samples.back().ticks, 235);
}

// A plus is drawn as a four, as the network takes some for.
TEST(StructureSearch, LeavesOutASignThatStaysWhereItIsAsTheNumberGrows) {
    const GlyphNet net;
    std::vector<std::string> texts;
    for (const std::string& number : tenths(73, 90, 0)) texts.push_back("4" + number);
    const DrawnLine drawn = drawn_line(texts);  // 47.3 … 411.7
    const LineSearch search = find_line_structures(drawn.line, drawn.crops, net);
    ASSERT_FALSE(search.structures.empty());
    const auto [told, wrong] = read_and_wrong(read(search.structures.front(), drawn, net), 73);
    EXPECT_EQ(wrong, 0);
    EXPECT_GE(told, 80);
}

// A plus looks a little like a 4.
TEST(StructureSearch, ReadsANumberBehindAPlus) {
    const GlyphNet net;
    std::vector<std::string> texts = tenths(80, 90, 0);  // +8.0 … +12.4
    for (std::string& text : texts) text.insert(0, "+");
    const DrawnLine drawn = drawn_line(texts, "JetBrainsMono-Regular.ttf", 20);
    const LineSearch search = find_line_structures(drawn.line, drawn.crops, net);
    ASSERT_FALSE(search.structures.empty());
    const auto [told, wrong] = read_and_wrong(read(search.structures.front(), drawn, net), 80);
    EXPECT_EQ(wrong, 0);
    EXPECT_GE(told, 80);
}

// A head stands before the outlet for a short while only.
// The unit before the number begins in one place, and so does what follows it: zeros or a minus.
TEST(StructureSearch, ReadsAMinusThatMovesPaddedDigitsOn) {
    const GlyphNet net;
    std::vector<std::string> texts;
    for (int i = 0; i < 120; ++i) {
        const int cm = 3 * i - 87;
        texts.push_back(fmt::format("M {}{:06.2f}", cm < 0 ? "-" : "", std::abs(cm) / 100.0));
    }
    DrawnLine drawn = drawn_line(texts, "DejaVuSansMono.ttf");
    drawn.line.text.width = static_cast<int>(9.0 * drawn.band.pitch_px);
    const LineSearch search = find_line_structures(drawn.line, drawn.crops, net);
    ASSERT_FALSE(search.structures.empty());
    const LineReading reading = read(search.structures.front(), drawn, net);
    int told = 0;
    for (std::size_t i = 0; i < reading.samples.size(); ++i) {
        if (reading.samples[i].unread != Unread::no) continue;
        ++told;
        EXPECT_EQ(reading.samples[i].ticks, 3 * static_cast<int>(i) - 87);
    }
    EXPECT_GE(told, 115);
}

TEST(StructureSearch, TakesASignThatIsAlwaysThereForAPlusAndSaysSo) {
    const GlyphNet net;
    std::vector<std::string> texts = tenths(43, 90, 0);  // 4.3 … 8.7
    for (std::string& text : texts) text.insert(0, "-");
    const DrawnLine drawn = drawn_line(texts);
    const LineSearch search = find_line_structures(drawn.line, drawn.crops, net);
    ASSERT_FALSE(search.structures.empty());
    const LineReading reading = read(search.structures.front(), drawn, net);
    EXPECT_EQ(read_and_wrong(reading, 43).second, 0);
    EXPECT_GE(read_and_wrong(reading, 43).first, 80);
    EXPECT_NE(reading.doubt.find("could be a minus"), std::string::npos) << reading.doubt;
}

// Feet and inches from 8' 4" to 12' 0", the inches padded to `width`.
std::vector<std::string> feet_and_inches(int width) {
    std::vector<std::string> texts;
    for (int i = 0; i < 90; ++i) {
        const int inches = 100 + i / 2;
        texts.push_back(fmt::format("{}' {:{}}\"", inches / 12, inches % 12, width));
    }
    return texts;
}

void expect_feet_and_inches(const DrawnLine& drawn) {
    const GlyphNet net;
    const LineSearch search = find_line_structures(drawn.line, drawn.crops, net);
    ASSERT_FALSE(search.structures.empty());
    EXPECT_EQ(search.structures.front().format.unit, CounterUnit::feet_and_inches);
    const LineReading reading = read(search.structures.front(), drawn, net);
    const auto [told, wrong] = read_and_wrong(reading, 100);
    EXPECT_EQ(wrong, 0);
    EXPECT_GE(told, 80);
    EXPECT_EQ(reading.doubt, "");
}

TEST(StructureSearch, ReadsFeetAndInchesWhosePrimeCouldBeADigit) {
    expect_feet_and_inches(drawn_line(feet_and_inches(2), "DejaVuSansMono-Oblique.ttf"));
}

TEST(StructureSearch, ReadsInchesOfWhichTwoDigitsStandWhereOneDoes) {
    expect_feet_and_inches(drawn_line(feet_and_inches(1)));
}

// Blanks of DejaVu Sans are half as wide as its digits: ten inches stand further left than nine.
TEST(StructureSearch, ReadsInchesThatStandAsideByPartOfADigitWhereTheyHaveTwo) {
    expect_feet_and_inches(drawn_line(feet_and_inches(2), "DejaVuSans-Bold.ttf"));
}

// Feet of one digit throughout do not say at which end the text is held.
TEST(StructureSearch, ReadsInchesThatStandAsideBehindFeetThatNeverGrow) {
    const GlyphNet net;
    std::vector<std::string> texts;
    for (int i = 0; i < 90; ++i) {
        const int inches = 20 + i / 2;
        texts.push_back(fmt::format("{}' {:2}\"", inches / 12, inches % 12));
    }
    const DrawnLine drawn = drawn_line(texts, "LiberationSans-Bold.ttf");
    const LineSearch search = find_line_structures(drawn.line, drawn.crops, net);
    ASSERT_FALSE(search.structures.empty());
    const LineReading reading = read(search.structures.front(), drawn, net);
    const auto [told, wrong] = read_and_wrong(reading, 20);
    EXPECT_EQ(wrong, 0);
    EXPECT_GE(told, 80);
    EXPECT_EQ(reading.doubt, "");
}

// Feet and inches whose ten and eleven are left out.
TEST(DecodeLine, DoubtsInchesOfWhichTenAndElevenAreNeverRead) {
    const GlyphNet net;
    std::vector<std::string> texts;
    for (int i = 0; i < 150; ++i) {
        const int inches = 50 + i / 2;
        const std::string behind = inches % 12 < 10 ? fmt::format("{:2}", inches % 12) : "  ";
        texts.push_back(fmt::format("{}' {}\"", inches / 12, behind));
    }
    const DrawnLine drawn = drawn_line(texts);
    const LineSearch search = find_line_structures(drawn.line, drawn.crops, net);
    ASSERT_FALSE(search.structures.empty());
    const LineReading reading = read(search.structures.front(), drawn, net);
    EXPECT_EQ(reading.format.unit, CounterUnit::feet_and_inches);
    EXPECT_NE(reading.doubt.find("ten and eleven"), std::string::npos) << reading.doubt;
}

TEST(DecodeLine, DoubtsWhatJumpsAsNoReelDoes) {
    const GlyphNet net;
    std::vector<std::string> texts = tenths(120, 60, 0);
    for (const std::string& number : tenths(482, 60, 0)) texts.push_back(number);
    const DrawnLine drawn = drawn_line(texts);
    const LineSearch search = find_line_structures(drawn.line, drawn.crops, net);
    ASSERT_FALSE(search.structures.empty());
    const LineReading reading = read(search.structures.front(), drawn, net);
    EXPECT_NE(reading.doubt.find("as no reel does"), std::string::npos) << reading.doubt;
}

}  // namespace
}  // namespace sondeline
