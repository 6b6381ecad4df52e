#include "footage/line_marks.hpp"

#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "footage/drawn_line.hpp"
#include "footage/text_bands.hpp"

namespace sondeline {
namespace {

struct Looked {
    bool colon = false;
    bool slash = false;
    bool digits_differ = false;
};

Looked looked_at(const std::vector<std::string>& texts) {
    const GlyphNet net;
    DrawnLine drawn = drawn_line(texts);
    drawn.line.text.width = 8 * static_cast<int>(drawn.band.pitch_px);
    const GlyphMap map(drawn.pointers(), net, strokes_of(drawn.line), drawn.band, 30.0,
                       40.0 + 9.0 * drawn.band.pitch_px, 8);
    const std::vector<NumberGrid> grids = grids_in(map, 1);
    if (grids.empty()) return {};
    return {holds_mark(map, grids.front(), Glyph::colon),
            holds_mark(map, grids.front(), Glyph::slash), digits_differ(map)};
}

TEST(LineMarks, AreTheColonsOfAClockThatRuns) {
    const Looked clock = looked_at({"10:42:17", "10:42:18", "10:42:19", "10:42:20"});
    EXPECT_TRUE(clock.colon);
    EXPECT_TRUE(clock.digits_differ);
}

TEST(LineMarks, AreTheSlashesOfADateThatStays) {
    const Looked date = looked_at({"14/05/26", "14/05/26", "14/05/26", "14/05/26"});
    EXPECT_TRUE(date.slash);
    EXPECT_FALSE(date.digits_differ);
}

// Faces made for machines set the point as high as the middle of a colon.
TEST(LineMarks, AreNotAPointThatOneDigitStandsBehind) {
    EXPECT_FALSE(looked_at({"0008:0", "0008:1", "0009:7", "0012:8"}).colon);
    EXPECT_TRUE(looked_at({"10:08", "10:08", "10:09", "10:10"}).colon);
}

TEST(LineMarks, AreNotTheColonBehindALabel) {
    EXPECT_FALSE(looked_at({"Ft: 42.1", "Ft: 42.2", "Ft: 43.7", "Ft: 45.8"}).colon);
}

}  // namespace
}  // namespace sondeline
