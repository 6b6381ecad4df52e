#include "survey/level_loops.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace sondeline {
namespace {

using testing::ElementsAre;

LevelBook book_of(const std::vector<LevelReading>& readings) {
    Findings findings;
    return level_book(readings, findings);
}
LevelReading mark(const char* point, double elevation_m) {
    return {"", point, std::nullopt, std::nullopt, elevation_m, {}};
}
LevelReading back(const char* setup, const char* point, double m) {
    return {setup, point, m, std::nullopt, std::nullopt, {}};
}
LevelReading fore(const char* setup, const char* point, double m) {
    return {setup, point, std::nullopt, m, std::nullopt, {}};
}

TEST(LevelLoops, FollowsALoopBackToItsBenchmark) {
    const auto loops =
        level_loops(book_of({mark("BM", 10.0), back("1", "BM", 1.0), fore("1", "TP", 1.5),
                             back("2", "TP", 1.2), fore("2", "BM", 0.6)}));
    ASSERT_EQ(loops.size(), 1U);
    EXPECT_THAT(loops[0].points, ElementsAre("BM", "TP", "BM"));
    EXPECT_EQ(loops[0].setups, 2);
    EXPECT_EQ(loops[0].readings, 4);
    EXPECT_NEAR(loops[0].closure_m, 1.0 - 1.5 + 1.2 - 0.6, 1e-12);
}

TEST(LevelLoops, TakesALineBetweenTwoBenchmarksForALoop) {
    const auto loops = level_loops(
        book_of({mark("A", 10.0), mark("B", 9.0), back("1", "A", 1.0), fore("1", "B", 2.02)}));
    ASSERT_EQ(loops.size(), 1U);
    EXPECT_THAT(loops[0].points, ElementsAre("A", "B"));
    EXPECT_EQ(loops[0].benchmarks, 2);
    EXPECT_EQ(loops[0].setups, 1);
    EXPECT_NEAR(loops[0].closure_m, -0.02, 1e-12);
}

TEST(LevelLoops, FindsALoopThatHangsOnASideShot) {
    // From TP on, two setups both see P and Q.
    const auto loops = level_loops(book_of(
        {mark("BM", 10.0), back("1", "BM", 1.0), fore("1", "TP", 1.5), back("2", "TP", 1.2),
         fore("2", "P", 0.6), fore("2", "Q", 0.9), back("3", "P", 0.5), fore("3", "Q", 0.81)}));
    ASSERT_EQ(loops.size(), 1U);
    EXPECT_EQ(loops[0].setups, 2);
    EXPECT_EQ(loops[0].readings, 4);
    EXPECT_NEAR(std::abs(loops[0].closure_m), 0.01, 1e-12);
    EXPECT_EQ(loops[0].points.front(), loops[0].points.back());
}

TEST(LevelLoops, HasNoneInSideShotsAndInWhatNoBenchmarkReaches) {
    EXPECT_TRUE(level_loops(book_of({mark("BM", 10.0), back("1", "BM", 1.0), fore("1", "TP", 1.5)}))
                    .empty());
    EXPECT_TRUE(level_loops(book_of({mark("BM", 10.0), back("1", "P", 1.0), fore("1", "Q", 1.5),
                                     back("2", "Q", 1.0), fore("2", "P", 0.4)}))
                    .empty());
}

// As many as a graph has cycles: edges less vertices plus one (cyclomatic number).
TEST(LevelLoops, HasOneForEachReadingBeyondThoseNeeded) {
    std::vector<LevelReading> readings{mark("P0", 1.0)};
    int setup = 0;
    for (int i = 0; i < 4; ++i) {
        for (int j = i + 1; j < 4; ++j) {
            const std::string name = std::to_string(++setup);
            readings.push_back(back(name.c_str(), ("P" + std::to_string(i)).c_str(), 1.0));
            readings.push_back(fore(name.c_str(), ("P" + std::to_string(j)).c_str(), 1.0));
        }
    }
    // Datum, 4 points, 6 setups; 12 readings and a benchmark.
    EXPECT_EQ(level_loops(book_of(readings)).size(), 13U - 11U + 1U);
}

}  // namespace
}  // namespace sondeline
