#include "survey/level_book.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace sondeline {
namespace {

using testing::ElementsAre;

LevelReading reading(const char* setup, const char* point, std::optional<double> back_m,
                     std::optional<double> fore_m, int row) {
    return {setup, point, back_m, fore_m, std::nullopt, {"levels.csv", row, ""}};
}

// A benchmark, a turning point seen from both setups, and a point nothing ties to them. The layout
// of a level book, a row per sight: common practice, no source.
std::vector<LevelReading> two_setups_and_an_island() {
    std::vector<LevelReading> rows{
        reading("1", "BM", 1.10, {}, 2),  reading("1", "TP", {}, 1.40, 3),
        reading("2", "TP", 0.90, {}, 4),  reading("2", "tank", {}, 1.80, 5),
        reading("9", "far", 1.00, {}, 6), reading("9", "farther", {}, 2.00, 7)};
    rows[0].elevation_m = 50.0;
    return rows;
}

TEST(LevelBook, NumbersPointsAndSetupsAsTheyFirstAppear) {
    Findings findings;
    const LevelBook book = level_book(two_setups_and_an_island(), findings);
    EXPECT_THAT(book.points, ElementsAre("BM", "TP", "tank", "far", "farther"));
    EXPECT_THAT(book.setups, ElementsAre("1", "2", "9"));
    ASSERT_EQ(book.sights.size(), 6U);
    EXPECT_EQ(book.sights[2].setup, 1);
    EXPECT_EQ(book.sights[2].point, 1);
    EXPECT_TRUE(book.sights[2].back);
    EXPECT_FALSE(book.sights[3].back);
    EXPECT_EQ(book.sights[3].reading_m, 1.80);
    EXPECT_EQ(book.sights[3].source.row, 5);
    EXPECT_TRUE(findings.empty());
}

TEST(LevelBook, TakesAnElevationInTheSameRowAsASight) {
    Findings findings;
    const LevelBook book = level_book(two_setups_and_an_island(), findings);
    ASSERT_EQ(book.benchmarks.size(), 1U);
    EXPECT_EQ(book.benchmarks[0].point, 0);
    EXPECT_EQ(book.benchmarks[0].elevation_m, 50.0);
    EXPECT_EQ(book.benchmarks[0].source.row, 2);
}

TEST(LevelBook, HasABenchmarkWithoutASight) {
    std::vector<LevelReading> rows{reading("", "BM", {}, {}, 2)};
    rows[0].elevation_m = 12.0;
    Findings findings;
    const LevelBook book = level_book(rows, findings);
    EXPECT_EQ(book.benchmarks.size(), 1U);
    EXPECT_TRUE(book.sights.empty());
    EXPECT_TRUE(book.setups.empty());
}

TEST(LevelBook, LeavesOutARowOfTwoSightsAndNamesIt) {
    Findings findings;
    const LevelBook book = level_book({reading("1", "TP", 1.2, 1.5, 8)}, findings);
    EXPECT_TRUE(book.sights.empty());
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_EQ(findings[0].where.row, 8);
    EXPECT_EQ(findings[0].consequence, Consequence::input_rejected);
    EXPECT_THAT(findings[0].what, testing::HasSubstr("TP has a backsight and a foresight"));
}

TEST(LevelBook, ReachesWhatAChainOfSetupsTiesToABenchmark) {
    Findings findings;
    const ReachedLevels reached =
        reached_from_benchmarks(level_book(two_setups_and_an_island(), findings));
    EXPECT_THAT(reached.points, ElementsAre(true, true, true, false, false));
    EXPECT_THAT(reached.setups, ElementsAre(true, true, false));
}

TEST(LevelBook, ReachesBackwardsFromABenchmarkReadLast) {
    std::vector<LevelReading> rows = two_setups_and_an_island();
    rows[0].elevation_m.reset();
    rows[3].elevation_m = 49.0;
    Findings findings;
    const ReachedLevels reached = reached_from_benchmarks(level_book(rows, findings));
    EXPECT_THAT(reached.points, ElementsAre(true, true, true, false, false));
}

TEST(LevelBook, ReachesNothingWithoutABenchmark) {
    std::vector<LevelReading> rows = two_setups_and_an_island();
    rows[0].elevation_m.reset();
    Findings findings;
    const ReachedLevels reached = reached_from_benchmarks(level_book(rows, findings));
    EXPECT_THAT(reached.setups, testing::Each(false));
    EXPECT_THAT(reached.points, testing::Each(false));
}

}  // namespace
}  // namespace sondeline
