#include "survey/levelling.hpp"

#include <gtest/gtest.h>

namespace sondeline {
namespace {

LevelReading back(const char* setup, const char* point, double m) {
    return {setup, point, m, std::nullopt, std::nullopt, {"levels.csv", 2, ""}};
}
LevelReading fore(const char* setup, const char* point, double m) {
    return {setup, point, std::nullopt, m, std::nullopt, {"levels.csv", 3, ""}};
}
LevelReading mark(const char* point, double elevation_m) {
    return {"1", point, std::nullopt, std::nullopt, elevation_m, {"levels.csv", 2, ""}};
}

// Ghilani and Wolf, Elementary Surveying, level-loop field-note example (from memory, recomputed):
// feet; misclosure +0.03 spread over seven setups. Units do not matter to the adjustment.
TEST(Levelling, SpreadsTheClosureOverTheSetups) {
    const std::vector<LevelReading> book{
        mark("BM Mil", 2053.18),    back("1", "BM Mil", 1.33), fore("1", "TP1", 8.37),
        back("2", "TP1", 0.22),     fore("2", "TP2", 7.91),    back("3", "TP2", 0.96),
        fore("3", "TP3", 11.72),    back("4", "TP3", 0.46),    fore("4", "BM Oak", 8.71),
        back("5", "BM Oak", 11.95), fore("5", "TP4", 2.61),    back("6", "TP4", 12.55),
        fore("6", "TP5", 0.68),     back("7", "TP5", 12.77),   fore("7", "BM Mil", 0.21)};
    Findings findings;
    LevelOptions options;
    options.reading_sd_m = 0.01;
    const LevelNet net = adjust_levels(book, options, findings);
    EXPECT_EQ(net.setups, 7);
    ASSERT_TRUE(net.closure_m.has_value());
    EXPECT_NEAR(*net.closure_m, 0.03, 1e-6);
    const std::pair<const char*, double> published[] = {{"TP1", 2046.14}, {"TP2", 2038.44},
                                                        {"TP3", 2027.68}, {"BM Oak", 2019.42},
                                                        {"TP4", 2028.76}, {"TP5", 2040.62}};
    for (const auto& [point, elevation] : published) {
        EXPECT_NEAR(net.points.at(point).elevation_m.value, elevation, 0.006) << point;
    }
}

// A published one-dimensional net of a general network adjuster (GNU Gama 1.5.09 sample): 1a =
// 1000.000 m and eight height differences. A difference is one setup with a backsight of 0.
TEST(Levelling, GivesThePublishedHeightsOfANet) {
    struct Difference {
        const char* from;
        const char* to;
        double m;
    };
    const Difference differences[] = {{"1a", "4", -1.225}, {"4", "3", -0.848},  {"3", "2", 1.342},
                                      {"2", "1a", 0.720},  {"1a", "2", -0.724}, {"2", "3", -1.335},
                                      {"3", "4", 0.842},   {"4", "1a", 1.231}};
    std::vector<LevelReading> book{mark("1a", 1000.0)};
    int setup = 1;
    for (const Difference& difference : differences) {
        const std::string name = "s" + std::to_string(setup++);
        // Elevation = height of instrument − reading, so the foresight is minus the difference.
        book.push_back(back(name.c_str(), difference.from, 0.0));
        book.push_back(fore(name.c_str(), difference.to, -difference.m));
    }
    Findings findings;
    const LevelNet net = adjust_levels(book, {}, findings);
    EXPECT_EQ(net.redundant, 5);
    EXPECT_NEAR(net.points.at("4").elevation_m.value, 998.77513, 1e-5);
    EXPECT_NEAR(net.points.at("3").elevation_m.value, 997.93325, 1e-5);
    EXPECT_NEAR(net.points.at("2").elevation_m.value, 999.27487, 1e-5);
}

TEST(Levelling, ReportsALoopThatDoesNotClose) {
    const std::vector<LevelReading> book{mark("BM", 10.0), back("1", "BM", 1.0),
                                         fore("1", "TP", 1.5), back("2", "TP", 1.2),
                                         fore("2", "BM", 0.6)};
    Findings findings;
    const LevelNet net = adjust_levels(book, {}, findings);
    EXPECT_NEAR(*net.closure_m, 0.1, 1e-6);
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_EQ(findings[0].severity, Severity::problem);
}

TEST(Levelling, SaysThatPointsReadOnceHaveNoCheck) {
    const std::vector<LevelReading> book{mark("BM", 10.0), back("1", "BM", 1.0),
                                         fore("1", "tank", 1.5)};
    Findings findings;
    const LevelNet net = adjust_levels(book, {}, findings);
    EXPECT_NEAR(net.points.at("tank").elevation_m.value, 9.5, 1e-9);
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_EQ(findings[0].severity, Severity::info);
}

TEST(Levelling, DoesNotGuessWhichSetupARowOfTwoReadingsBelongsTo) {
    const std::vector<LevelReading> book{mark("BM", 10.0),
                                         back("1", "BM", 1.0),
                                         {"1", "TP", 1.2, 1.5, std::nullopt, {}},
                                         fore("1", "tank", 0.7)};
    Findings findings;
    const LevelNet net = adjust_levels(book, {}, findings);
    EXPECT_FALSE(net.points.contains("TP"));
    EXPECT_NEAR(net.points.at("tank").elevation_m.value, 10.3, 1e-9);
    EXPECT_EQ(findings[0].consequence, Consequence::input_rejected);
}

TEST(Levelling, LeavesOutWhatNoBenchmarkReaches) {
    const std::vector<LevelReading> book{mark("BM", 10.0), back("1", "BM", 1.0),
                                         fore("1", "tank", 1.5), back("9", "far", 1.0),
                                         fore("9", "farther", 2.0)};
    Findings findings;
    const LevelNet net = adjust_levels(book, {}, findings);
    EXPECT_FALSE(net.points.contains("far"));
    EXPECT_TRUE(net.points.contains("tank"));
}

TEST(Levelling, AssumesAnElevationWhenNoBenchmarkIsGivenAndSaysSo) {
    const std::vector<LevelReading> book{back("1", "nail", 1.0), fore("1", "tank", 1.5)};
    Findings findings;
    LevelOptions options;
    options.assumed_elevation_m = 100.0;
    const LevelNet net = adjust_levels(book, options, findings);
    EXPECT_NEAR(net.points.at("tank").elevation_m.value, 99.5, 1e-9);
    EXPECT_FALSE(findings.empty());
}

}  // namespace
}  // namespace sondeline
