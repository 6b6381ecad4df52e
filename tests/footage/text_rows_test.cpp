#include "footage/text_rows.hpp"

#include <algorithm>

#include <gtest/gtest.h>

namespace sondeline {
namespace {

// A picture of 240 rows with upright strokes of four pixels, six apart, between the columns 40 and
// 160 in each of the bands of rows.
Edges strokes_in(const std::vector<cv::Range>& bands) {
    const cv::Size size(320, 240);
    Edges edges;
    edges.coherence = cv::Mat1f(size, 1.0F);
    edges.ink = cv::Mat1b::zeros(size);
    edges.across = cv::Mat1i::zeros(size);
    edges.luma = cv::Mat1f::zeros(size);
    edges.restless = cv::Mat1f::zeros(size);
    for (const cv::Range& band : bands) {
        for (int x = 40; x < 160; x += 10) {
            edges.ink(band, cv::Range(x, x + 4)).setTo(255);
            edges.across(band, cv::Range(x, x + 2)).setTo(100);
            edges.across(band, cv::Range(x + 2, x + 4)).setTo(-100);
        }
    }
    return edges;
}

TEST(TextRows, JoinTypeWhoseRowsOfDotsStandApart) {
    const std::vector<cv::Rect> rows = text_rows(strokes_in({{100, 110}, {111, 124}}));
    ASSERT_EQ(rows.size(), 1U);
    EXPECT_EQ(rows.front().y, 100);
    EXPECT_EQ(rows.front().height, 24);
}

// Of glyphs that change no gradient stays.
TEST(TextRows, JoinScanLinesOfTypeThatChanges) {
    Edges edges = strokes_in({{100, 104}, {105, 109}, {110, 114}, {115, 119}});
    edges.across.setTo(1);
    const std::vector<cv::Rect> rows = text_rows(edges);
    ASSERT_EQ(rows.size(), 1U);
    EXPECT_EQ(rows.front().height, 19);
}

TEST(TextRows, KeepLinesApartThatStandCloseBelowEachOther) {
    EXPECT_EQ(text_rows(strokes_in({{100, 112}, {116, 128}})).size(), 2U);
}

TEST(TextRows, AreFoundInABoxMuchWiderThanTheirText) {
    Edges edges = strokes_in({{100, 124}});
    edges.ink(cv::Range::all(), cv::Range(60, 320)).setTo(0);  // two strokes are left
    for (const int row : {96, 126}) edges.ink(cv::Rect(20, row, 290, 2)).setTo(255);
    for (const int column : {20, 308}) edges.ink(cv::Rect(column, 96, 2, 32)).setTo(255);
    const std::vector<cv::Rect> rows = text_rows(edges);
    EXPECT_TRUE(std::ranges::any_of(
        rows, [](const cv::Rect& row) { return row.y == 100 && row.height == 24 && row.x == 40; }));
}

// One row of text, and in its middle the sides of two boxes of which one stands a little higher.
Edges two_boxes(int side_rows) {
    Edges edges = strokes_in({{100, 124}});
    edges.ink(cv::Range::all(), cv::Range(94, 108)).setTo(0);
    const int spare = (side_rows - 24) / 2;
    for (const int column : {96, 104}) {
        const int top = 100 - spare + (column == 96 ? 2 : -2);
        edges.ink(cv::Rect(column, top, 2, side_rows)).setTo(255);
    }
    return edges;
}

TEST(FieldsOf, AreWhatStandsInBoxesOfItsOwn) {
    const std::vector<cv::Rect> fields = fields_of(two_boxes(36), {40, 100, 114, 24});
    ASSERT_EQ(fields.size(), 2U);
    EXPECT_EQ(fields[0].x, 40);
    EXPECT_LE(fields[0].br().x, 96);
    EXPECT_GE(fields[1].x, 106);
    EXPECT_EQ(fields[1].br().x, 154);
}

TEST(FieldsOf, AreNotSetApartByStrokesNoTallerThanTheText) {
    Edges edges = two_boxes(36);
    edges.ink(cv::Range(0, 100), cv::Range::all()).setTo(0);
    edges.ink(cv::Range(124, 240), cv::Range::all()).setTo(0);
    EXPECT_EQ(fields_of(edges, {40, 100, 114, 24}).size(), 1U);
}

// Inches of 24 rows from column 100 on, and what stands of the feet before them: the prime.
Edges inches_behind(int prime_rows, int prime_column) {
    Edges edges = strokes_in({{100, 124}});
    edges.ink(cv::Range(100, 124), cv::Range(40, 100)).setTo(0);
    for (int x = prime_column; x < prime_column + 6; x += 3) {
        edges.ink(cv::Range(100, 100 + prime_rows), cv::Range(x, x + 3)).setTo(255);
        edges.across(cv::Range(100, 100 + prime_rows), cv::Range(x, x + 3))
            .setTo(x == prime_column ? 100 : -100);
    }
    return edges;
}

TEST(TextRows, ReachBackToThePrimeOfFeetThatStandTwoBlanksBefore) {
    const std::vector<cv::Rect> rows = text_rows(inches_behind(9, 54));  // 40 pixels: 1.7 heights
    ASSERT_EQ(rows.size(), 1U);
    EXPECT_EQ(rows[0].x, 54);
    EXPECT_EQ(rows[0].height, 24);
}

TEST(TextRows, DoNotReachBackToAFullStrokeOrToAPrimeThatIsFarAway) {
    EXPECT_EQ(text_rows(inches_behind(24, 54)).size(), 2U);
    EXPECT_EQ(text_rows(inches_behind(9, 38)).size(), 2U);
}

// A box of 34 rows round two strokes of 24 is taller than text of this picture may be.
TEST(TextRows, StayWholeWhereTheEdgeOfTheirBoxRunsIntoThem) {
    Edges edges = strokes_in({{100, 124}});
    edges.ink(cv::Range::all(), cv::Range(60, 320)).setTo(0);
    edges.across(cv::Range(100, 124), cv::Range(40, 60)).setTo(100);
    for (const int row : {96, 128}) edges.ink(cv::Rect(36, row, 60, 2)).setTo(255);
    for (const int column : {36, 94}) edges.ink(cv::Rect(column, 96, 2, 34)).setTo(255);
    edges.ink(cv::Rect(44, 108, 6, 2)).setTo(255);  // thin where the strokes stand alone
    const std::vector<cv::Rect> rows = text_rows(edges);
    EXPECT_TRUE(std::ranges::any_of(rows, [](const cv::Rect& row) { return row.height >= 24; }));
}

TEST(TextRows, LeaveOutARuleThatTouchesTheText) {
    Edges edges = strokes_in({{100, 124}});
    edges.ink(cv::Range(96, 99), cv::Range(40, 160)).setTo(255);
    edges.across(cv::Range(96, 99), cv::Range(40, 160)).setTo(100);
    const std::vector<cv::Rect> rows = text_rows(edges);
    ASSERT_EQ(rows.size(), 1U);
    EXPECT_EQ(rows[0].height, 24);
}

}  // namespace
}  // namespace sondeline
