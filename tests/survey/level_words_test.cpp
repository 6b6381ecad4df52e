#include "survey/level_words.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace sondeline {
namespace {

using testing::HasSubstr;
using testing::Not;

LevelLoop loop_of(std::vector<std::string> points, int setups, double closure_m) {
    return {std::move(points), setups, 2 * setups, 0, closure_m};
}

LevelNet net_of(std::vector<LevelLoop> loops, bool closes) {
    LevelNet net;
    net.closes = closes;
    for (const LevelLoop& loop : loops) net.setups += loop.setups;
    if (!loops.empty()) net.closure_m = loops.front().closure_m;
    net.loops = std::move(loops);
    return net;
}

Finding told(const LevelNet& net, const LevelOptions& options = {}) {
    Findings findings;
    tell_closure(net, options, findings);
    EXPECT_EQ(findings.size(), 1U);
    return findings.empty() ? Finding{} : findings[0];
}

// The sd of a sum of n independent readings of sd σ is σ·√n (propagation of errors: Ghilani & Wolf,
// Elementary Surveying, error of a series, from memory).
TEST(LevelWords, HoldAClosureAgainstWhatItsReadingsShowByChance) {
    const LevelLoop loop = loop_of({"A", "B", "A"}, 8, 0.016);
    LevelOptions options;
    options.reading_sd_m = 0.002;
    EXPECT_NEAR(closure_in_sd(loop, options), 0.016 / (0.002 * 4.0), 1e-12);
}

TEST(LevelWords, AllowALineBetweenBenchmarksTheirOwnErrors) {
    LevelLoop line = loop_of({"A", "B"}, 2, -0.010);
    line.benchmarks = 2;
    LevelOptions options;
    options.reading_sd_m = 0.002;
    options.benchmark_sd_m = 0.003;
    EXPECT_NEAR(closure_in_sd(line, options), 0.010 / std::sqrt(4 * 4e-6 + 2 * 9e-6), 1e-9);
}

TEST(LevelWords, GiveTheClosureOfALoopThatCloses) {
    const Finding finding = told(net_of({loop_of({"A", "B", "A"}, 4, -0.003)}, true));
    EXPECT_EQ(finding.severity, Severity::info);
    EXPECT_EQ(finding.what, "The levels close within 3.0 mm; it was spread over the 4 setups.");
}

TEST(LevelWords, NameTheWorstOfSeveralLoopsThatClose) {
    const LevelNet net =
        net_of({loop_of({"A", "B", "A"}, 4, 0.004), loop_of({"A", "C", "A"}, 2, 0.001)}, true);
    EXPECT_THAT(told(net).what, HasSubstr("in all 2 loops, the worst of them within 4.0 mm"));
}

TEST(LevelWords, DoNotClaimThatAnythingClosesWithinNoughtNorThatNoughtWasSpread) {
    // A rod is read to a thousandth of a foot at best, 0.3 mm (common practice, no source).
    EXPECT_EQ(told(net_of({loop_of({"A", "B", "A"}, 2, 1e-17)}, true)).what,
              "The levels close within 0.3 mm; nothing had to be spread.");
}

TEST(LevelWords, SayThatPointsReadOnceHaveNoCheck) {
    EXPECT_THAT(told(net_of({}, true)).what, HasSubstr("no check"));
}

TEST(LevelWords, NameTheLoopThatDoesNotCloseAndHowManyDo) {
    const LevelNet net =
        net_of({loop_of({"A", "B", "A"}, 2, 0.001), loop_of({"A", "C", "A"}, 2, 0.05)}, false);
    const Finding finding = told(net);
    EXPECT_EQ(finding.severity, Severity::problem);
    EXPECT_THAT(finding.what, HasSubstr("The level loop A, C, A does not close: 50.0 mm over 2"));
    EXPECT_THAT(finding.what, HasSubstr("1 of 2 loops close."));
    EXPECT_THAT(finding.what, Not(HasSubstr("A, B, A")));
}

TEST(LevelWords, NameTheWorstFirstAndCountTheRest) {
    std::vector<LevelLoop> loops;
    for (const char* point : {"B", "C", "D", "E", "F"}) {
        loops.push_back(loop_of({"A", point, "A"}, 2, 0.03 + 0.01 * (point[0] - 'B')));
    }
    const std::string what = told(net_of(std::move(loops), false)).what;
    EXPECT_LT(what.find("A, F, A"), what.find("A, E, A"));
    EXPECT_LT(what.find("A, E, A"), what.find("A, D, A"));
    EXPECT_THAT(what, Not(HasSubstr("A, B, A")));
    EXPECT_THAT(what, HasSubstr("2 more do not close."));
}

TEST(LevelWords, ShortenALongWayRoundALoop) {
    const LevelNet net =
        net_of({loop_of({"a", "b", "c", "d", "e", "f", "g", "h", "i", "a"}, 9, 0.05)}, false);
    EXPECT_THAT(told(net).what, HasSubstr("a, b, … a does not close"));
}

// A whole metre, decimetre or foot is the usual slip of the eye (common practice, no source).
TEST(LevelWords, NameASlipOfAWholeOrTenthOfTheRodsUnit) {
    EXPECT_THAT(told(net_of({loop_of({"A", "B", "A"}, 2, -0.998)}, false)).what,
                HasSubstr("close to 1 m"));
    LevelOptions feet;
    feet.unit = LengthUnit::foot;
    EXPECT_THAT(told(net_of({loop_of({"A", "B", "A"}, 2, 0.303)}, false), feet).what,
                HasSubstr("close to 1 ft"));
    EXPECT_THAT(told(net_of({loop_of({"A", "B", "A"}, 2, 0.06)}, false)).what,
                Not(HasSubstr("slip")));
}

TEST(LevelWords, BlameTheToolsWhereNoLoopIsFarOff) {
    LevelNet net = net_of({loop_of({"A", "B", "A"}, 2, 0.004)}, false);
    net.square_sum = 8.0;
    net.redundant = 2;
    EXPECT_THAT(told(net).what, HasSubstr("scatter 2.0 times as much as they should"));
}

TEST(LevelWords, LeaveTheClosureToTheReadingThatWasLeftOut) {
    LevelNet net = net_of({loop_of({"A", "B", "A"}, 2, 0.05)}, true);
    net.left_out = 1;
    Findings findings;
    tell_closure(net, {}, findings);
    EXPECT_TRUE(findings.empty());
}

LevelBook one_sight() {
    Findings none;
    std::vector<LevelReading> rows{{"3", "TP", {}, 1.5, {}, {"levels.csv", 7, ""}},
                                   {"", "BM", {}, {}, 20.0, {"levels.csv", 2, ""}}};
    return level_book(rows, none);
}

TEST(LevelWords, PointAtTheReadingThatContradictsTheOthers) {
    Findings findings;
    tell_left_out(one_sight(), {.sight = 0, .off_m = 0.1}, LengthUnit::metre, findings);
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_EQ(findings[0].where.row, 7);
    EXPECT_EQ(findings[0].consequence, Consequence::input_rejected);
    EXPECT_THAT(findings[0].what, HasSubstr("The foresight on TP from setup 3"));
    EXPECT_THAT(findings[0].what, HasSubstr("100.0 mm too large"));
}

TEST(LevelWords, PointAtTheBenchmarkThatContradictsTheOthers) {
    Findings findings;
    tell_left_out(one_sight(), {.sight = {}, .benchmark = 0, .off_m = -0.5}, LengthUnit::metre,
                  findings);
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_EQ(findings[0].where.row, 2);
    EXPECT_THAT(findings[0].what, HasSubstr("The elevation given for BM is 500.0 mm below"));
}

TEST(LevelWords, NameEveryPointThatNoBenchmarkReaches) {
    Findings findings;
    tell_unreached_levels(one_sight(), {{false, true}, {false}}, findings);
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_EQ(findings[0].where.structure, "TP");
}

TEST(LevelWords, SayHowManyReadingsAreTooMany) {
    Findings findings;
    tell_too_many_levels(1200, 1000, findings);
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_THAT(findings[0].what, HasSubstr("1200 readings, more than the 1000"));
}

TEST(LevelWords, NameThePairsOfReadingsWhoseExchangeWouldCloseIt) {
    LevelNet net = net_of({loop_of({"A", "B", "A"}, 2, 0.5)}, false);
    net.exchanged = {{"1", "A", "1", "B"}, {"1", "B", "2", "B"}};
    EXPECT_THAT(
        told(net).what,
        HasSubstr("close if the readings on A and B from setup 1, or the readings on B from "
                  "setups 1 and 2 were written down for each other"));
    net.exchanged.resize(4, net.exchanged[0]);
    EXPECT_THAT(told(net).what, Not(HasSubstr("for each other")));
}

}  // namespace
}  // namespace sondeline
