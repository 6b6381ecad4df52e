#include "survey/levelling.hpp"

#include <numbers>

#include <Eigen/Dense>
#include <fmt/format.h>
#include <gmock/gmock.h>
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

// C. D. Ghilani, Adjustment Computations, differential levelling net between benchmarks X and Y
// (from memory, recomputed): seven lines, three new points, in feet; equal weights.
std::vector<LevelReading> net_between_two_benchmarks(double third_line) {
    struct Line {
        const char* from;
        const char* to;
        double rise;
    };
    const Line lines[] = {{"X", "A", 5.10},  {"A", "Y", 2.34},  {"Y", "C", third_line},
                          {"C", "X", -6.13}, {"A", "B", -0.68}, {"Y", "B", -3.00},
                          {"B", "C", 1.70}};
    std::vector<LevelReading> book{mark("X", 100.00), mark("Y", 107.50)};
    int number = 0;
    for (const Line& line : lines) {
        const std::string setup = "s" + std::to_string(++number);
        book.push_back(back(setup.c_str(), line.from, 0.0));
        book.push_back(fore(setup.c_str(), line.to, -line.rise));
    }
    return book;
}

LevelOptions loose_readings() {
    LevelOptions options;
    options.reading_sd_m = 0.02;
    options.benchmark_sd_m = 1e-6;
    return options;
}

TEST(Levelling, GivesThePublishedHeightsOfANetBetweenTwoBenchmarks) {
    Findings findings;
    const LevelNet net =
        adjust_levels(net_between_two_benchmarks(-1.25), loose_readings(), findings);
    EXPECT_EQ(net.redundant, 4);
    EXPECT_EQ(net.loops.size(), 4U);
    EXPECT_NEAR(net.points.at("A").elevation_m.value, 105.141, 5e-4);
    EXPECT_NEAR(net.points.at("B").elevation_m.value, 104.483, 5e-4);
    EXPECT_NEAR(net.points.at("C").elevation_m.value, 106.188, 5e-4);
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_THAT(findings[0].what, testing::HasSubstr("close in all 4 loops"));
}

// C. D. Ghilani, Adjustment Computations, weighted differential levelling: four points, six lines
// with their own standard deviations, bench mark A at 437.596 (observations and the published
// heights B 448.1087, C 453.4685, D 444.9436 from memory; the test solves them again). A line of
// variance n mm² is levelled here in n setups of 1 mm² each.
TEST(Levelling, WeighsEachLineOfAPublishedNetByItsNumberOfSetups) {
    struct Line {
        const char* from;
        const char* to;
        double rise;
        int sd_mm;
    };
    const Line lines[] = {{"A", "B", 10.509, 6}, {"B", "C", 5.360, 4},  {"C", "D", -8.523, 5},
                          {"D", "A", -7.348, 3}, {"B", "D", -3.167, 4}, {"A", "C", 15.881, 12}};
    const std::map<std::string, int> columns{{"B", 0}, {"C", 1}, {"D", 2}};
    constexpr double bench_mark = 437.596;
    std::vector<LevelReading> book{mark("A", bench_mark)};
    Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
    Eigen::Vector3d right = Eigen::Vector3d::Zero();
    for (const Line& line : lines) {
        Eigen::Vector3d row = Eigen::Vector3d::Zero();
        double rise = line.rise;
        if (columns.contains(line.to)) row(columns.at(line.to)) = 1.0;
        if (columns.contains(line.from)) row(columns.at(line.from)) = -1.0;
        if (!columns.contains(line.to)) rise -= bench_mark;
        if (!columns.contains(line.from)) rise += bench_mark;
        const double setups = line.sd_mm * line.sd_mm;
        normal += row * row.transpose() / setups;
        right += row * rise / setups;
        std::string at = line.from;
        for (int i = 1; i <= setups; ++i) {
            const std::string setup = fmt::format("{}{} {}", line.from, line.to, i);
            const std::string next =
                i < setups ? fmt::format("{}{} after {}", line.from, line.to, i) : line.to;
            book.push_back(back(setup.c_str(), at.c_str(), 0.0));
            book.push_back(fore(setup.c_str(), next.c_str(), -line.rise / setups));
            at = next;
        }
    }
    LevelOptions options;
    options.reading_sd_m = 0.001 / std::numbers::sqrt2;
    options.benchmark_sd_m = 1e-7;
    Findings findings;
    const LevelNet net = adjust_levels(book, options, findings);
    const Eigen::Vector3d expected = normal.ldlt().solve(right);
    const Eigen::Vector3d published(448.1087, 453.4685, 444.9436);
    const Eigen::Matrix3d covariance = 1e-6 * normal.inverse();
    EXPECT_EQ(net.redundant, 3);
    EXPECT_TRUE(net.closes);
    for (const auto& [point, i] : columns) {
        const Estimate& height = net.points.at(point).elevation_m;
        EXPECT_NEAR(height.value, expected(i), 1e-5) << point;
        EXPECT_NEAR(height.value, published(i), 1e-4) << point;
        EXPECT_NEAR(height.sd, std::sqrt(covariance(i, i)), 1e-5) << point;
    }
}

TEST(Levelling, LeavesNothingOutWhereTwoReadingsCouldEachBeWrong) {
    Findings findings;
    const LevelNet net =
        adjust_levels(net_between_two_benchmarks(-2.25), loose_readings(), findings);
    // Back- and foresight of one line cannot be told apart, so nothing may be left out alone.
    EXPECT_EQ(net.left_out, 0);
    EXPECT_FALSE(net.closes);
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_EQ(findings[0].severity, Severity::problem);
    EXPECT_THAT(findings[0].what, testing::HasSubstr("Y, C"));
}

// Two setups that both see all of A, B and C: six readings, five unknowns less the benchmark's.
std::vector<LevelReading> seen_from_two_setups(double of_c) {
    return {mark("A", 100.0),      back("1", "A", 1.500), fore("1", "B", 1.200),
            fore("1", "C", of_c),  fore("1", "D", 1.600), back("2", "A", 1.700),
            fore("2", "B", 1.400), fore("2", "C", 1.100), fore("2", "D", 1.800),
            back("3", "A", 1.300), fore("3", "C", 0.700)};
}

TEST(Levelling, LeavesOutAReadingThatContradictsAllOthersAndNamesIt) {
    Findings findings;
    const LevelNet net = adjust_levels(seen_from_two_setups(0.800), {}, findings);
    EXPECT_EQ(net.left_out, 1);
    EXPECT_TRUE(net.closes);
    EXPECT_NEAR(net.points.at("C").elevation_m.value, 100.6, 1e-6);
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_EQ(findings[0].consequence, Consequence::input_rejected);
    EXPECT_EQ(findings[0].what,
              "The foresight on C from setup 1 contradicts the other readings: it is 100.0 mm too "
              "small. It was not used; without it the levels close.");
}

TEST(Levelling, KeepsEveryReadingWhereAllAgree) {
    Findings findings;
    const LevelNet net = adjust_levels(seen_from_two_setups(0.900), {}, findings);
    EXPECT_EQ(net.left_out, 0);
    EXPECT_EQ(net.redundant, 4);
    EXPECT_NEAR(net.square_sum, 0.0, 1e-12);
}

TEST(Levelling, NamesABenchmarkOfAnotherDatum) {
    std::vector<LevelReading> book = seen_from_two_setups(0.900);
    book.push_back(mark("B", 100.3));
    book.push_back(mark("D", 130.0));
    Findings findings;
    const LevelNet net = adjust_levels(book, {}, findings);
    EXPECT_NEAR(net.points.at("D").elevation_m.value, 99.9, 1e-3);
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_THAT(findings[0].what, testing::HasSubstr("The elevation given for D"));
}

TEST(Levelling, WidensEveryBoundWhenALoopDoesNotClose) {
    std::vector<LevelReading> book{mark("BM", 10.0), back("1", "BM", 1.0), fore("1", "TP", 1.5),
                                   back("2", "TP", 1.2), fore("2", "BM", 0.7)};
    Findings findings;
    const LevelNet sound = adjust_levels(book, {}, findings);
    book.back().foresight_m = 0.6;
    const LevelNet open = adjust_levels(book, {}, findings);
    EXPECT_FALSE(open.closes);
    // The misfit of one redundant reading: closure over its own sd of four readings.
    EXPECT_NEAR(open.points.at("TP").elevation_m.sd,
                0.1 / (0.002 * 2.0) * sound.points.at("TP").elevation_m.sd, 1e-9);
    EXPECT_THAT(findings.back().what, testing::HasSubstr("close to 0.1 m"));
}

TEST(Levelling, SpeaksTheUnitOfTheJob) {
    Findings findings;
    LevelOptions options;
    options.unit = LengthUnit::foot;
    adjust_levels({mark("BM", 10.0), back("1", "BM", 1.0), fore("1", "TP", 1.5),
                   back("2", "TP", 1.2), fore("2", "BM", 0.6)},
                  options, findings);
    EXPECT_THAT(findings[0].what, testing::HasSubstr("0.328 ft over 2 setups"));
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

TEST(Levelling, OfMoreReadingsThanASiteHasIsRefusedAtOnce) {
    std::vector<LevelReading> book{mark("BM", 100.0)};
    for (int i = 0; i < 200000; ++i) book.push_back(fore("1", std::to_string(i).c_str(), 1.0));
    Findings findings;
    EXPECT_TRUE(adjust_levels(book, {}, findings).points.empty());
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_EQ(findings[0].severity, Severity::problem);
    EXPECT_EQ(findings[0].consequence, Consequence::input_rejected);
}

// Elevations are made up; the true book closes.
TEST(Levelling, NamesTheReadingsThatWereWrittenDownForEachOther) {
    const auto exchanged = [](double first, double second) {
        const std::vector<LevelReading> book{mark("BM", 10.0),         back("1", "BM", first),
                                             fore("1", "TP1", second), fore("1", "side", 1.234),
                                             back("2", "TP1", 1.871),  fore("2", "TP2", 0.902),
                                             back("3", "TP2", 1.402),  fore("3", "BM", 1.501)};
        Findings findings;
        return adjust_levels(book, {}, findings).exchanged;
    };
    EXPECT_TRUE(exchanged(0.620, 1.490).empty());  // as read
    const auto pairs = exchanged(1.490, 0.620);
    ASSERT_EQ(pairs.size(), 1U);
    EXPECT_EQ(pairs[0].setup1, "1");
    EXPECT_EQ(pairs[0].point1, "BM");
    EXPECT_EQ(pairs[0].setup2, "1");
    EXPECT_EQ(pairs[0].point2, "TP1");
    EXPECT_TRUE(exchanged(1.490, 1.490).empty());  // a slip of another kind
}

TEST(Levelling, NamesTheTwoReadingsOnATurningPointThatWereWrittenDownForEachOther) {
    const std::vector<LevelReading> book{mark("BM", 10.0),        back("1", "BM", 0.620),
                                         fore("1", "TP1", 1.871), back("2", "TP1", 1.490),
                                         fore("2", "TP2", 0.902), back("3", "TP2", 1.402),
                                         fore("3", "BM", 1.501)};
    Findings findings;
    const auto pairs = adjust_levels(book, {}, findings).exchanged;
    ASSERT_EQ(pairs.size(), 1U);
    EXPECT_EQ(pairs[0].point1, "TP1");
    EXPECT_EQ(pairs[0].point2, "TP1");
    EXPECT_EQ(pairs[0].setup2, "2");
}

}  // namespace
}  // namespace sondeline
