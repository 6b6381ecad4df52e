#include "appraisal/load_times.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "appraisal/parts.hpp"

namespace sondeline {
namespace {

using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::SizeIs;

constexpr double hour_s = 3600.0;

// A load test whose rows stand in a table, the first in row 2.
struct TestDay {
    Job job;

    LoadStep& row() {
        LoadStep step;
        step.source = {"loadtest.csv", static_cast<int>(job.load_test.size()) + 2, ""};
        job.load_test.push_back(step);
        return job.load_test.back();
    }

    TestDay& water(const char* step, double clock_h) {
        LoadStep& added = row();
        added.step = step;
        added.clock_s = Cell<double>{clock_h * hour_s, {}};
        return *this;
    }

    TestDay& level(const char* port, double level_m, std::optional<double> clock_h = std::nullopt) {
        LoadStep& added = row();
        added.point = port;
        added.level_m = Cell<double>{level_m, {}};
        if (clock_h) added.clock_s = Cell<double>{*clock_h * hour_s, {}};
        return *this;
    }

    LoadTimes times() {
        findings.clear();
        return times_of_load_test(job, findings);
    }

    Findings findings;
};

TEST(LoadTimes, AreThoseOfTheRowsThatSayStartAndStopWithTheLevelsBetween) {
    TestDay test;
    test.water("start water", 13.0)
        .level("L1", 0.01, 13.0)
        .level("L2", 0.01)
        .level("L1", 0.02, 13.5)
        .water("stop water", 13.5);
    const LoadTimes times = test.times();
    EXPECT_DOUBLE_EQ(*times.running_s, 1800.0);
    EXPECT_THAT(times.levels, SizeIs(3));
    EXPECT_THAT(times.shares_withheld, IsEmpty());
    EXPECT_THAT(test.findings, IsEmpty());
}

TEST(LoadTimes, DoNotTakeALevelReadAtTheStartForTheStart) {
    TestDay test;
    test.level("L1", 0.01, 12.5).water("start water", 13.0).water("stop water", 13.5);
    test.job.load_test.front().note = "level at start";
    EXPECT_DOUBLE_EQ(*test.times().running_s, 1800.0);
}

TEST(LoadTimes, TakeTheStartFromALevelWhereNoOtherRowSaysIt) {
    TestDay test;
    test.level("L1", 0.01, 13.0).water("stop water", 13.5);
    test.job.load_test.front().note = "start";
    EXPECT_DOUBLE_EQ(*test.times().running_s, 1800.0);
}

TEST(LoadTimes, AreNoneWhenTheWaterWasStoppedBeforeItWasStarted) {
    TestDay test;
    test.water("start water", 13.5).level("L1", 0.01, 13.2).water("stop water", 13.0);
    const LoadTimes times = test.times();
    EXPECT_FALSE(times.running_s);
    EXPECT_THAT(times.shares_withheld, HasSubstr("when the water ran is not known"));
    ASSERT_THAT(test.findings, SizeIs(1));
    EXPECT_EQ(test.findings[0].where.row, 4);
    EXPECT_THAT(test.findings[0].what, HasSubstr("30 minutes before it was started (row 2)"));
    EXPECT_THAT(test.findings[0].what, HasSubstr("may be exchanged"));
    EXPECT_EQ(test.findings[0].consequence, Consequence::input_rejected);
}

TEST(LoadTimes, LeaveOutAPortWhoseClocksGoBackFromRowToRow) {
    TestDay test;
    test.water("start water", 13.0)
        .level("L1", 0.02, 13.4)
        .level("L2", 0.01, 13.1)
        .level("L1", 0.01, 13.1)
        .level("L2", 0.02, 13.4)
        .water("stop water", 13.5);
    const LoadTimes times = test.times();
    ASSERT_THAT(times.levels, SizeIs(2));
    EXPECT_EQ(times.levels[0].point, "L2");
    EXPECT_THAT(times.shares_withheld, HasSubstr("contradict the order"));
    ASSERT_THAT(test.findings, SizeIs(1));
    EXPECT_EQ(test.findings[0].where.row, 5);
    EXPECT_THAT(test.findings[0].what, HasSubstr("18 minutes before that of row 3"));
}

TEST(LoadTimes, TakeATableThatListsPortAfterPort) {
    TestDay test;
    test.water("start water", 13.0)
        .level("L1", 0.01, 13.1)
        .level("L1", 0.02, 13.4)
        .level("L2", 0.01, 13.1)
        .level("L2", 0.02, 13.4)
        .water("stop water", 13.5);
    EXPECT_THAT(test.times().levels, SizeIs(4));
    EXPECT_THAT(test.findings, IsEmpty());
}

TEST(LoadTimes, LeaveOutLevelsThatWereNotReadWhileTheWaterRan) {
    TestDay test;
    test.water("start water", 13.0)
        .level("L1", 0.01, 12.1)
        .level("L1", 0.02, 13.4)
        .level("L2", 0.02, 14.5)
        .water("stop water", 13.5);
    const LoadTimes times = test.times();
    ASSERT_THAT(times.levels, SizeIs(1));
    EXPECT_DOUBLE_EQ(times.levels[0].level_m->value, 0.02);
    EXPECT_THAT(times.shares_withheld, HasSubstr("not every port"));
    ASSERT_THAT(test.findings, SizeIs(2));
    EXPECT_THAT(test.findings[0].what, HasSubstr("54 minutes before the water was turned on"));
    EXPECT_THAT(test.findings[1].what, HasSubstr("60 minutes after the water was stopped"));
    // It may have been read on purpose, to see the box drain.
    EXPECT_EQ(test.findings[0].severity, Severity::caution);
    EXPECT_EQ(test.findings[1].severity, Severity::info);
    EXPECT_THAT(test.findings[1].what_to_do, HasSubstr("if it was read while the water ran"));
}

// Clocks are written to the whole minute, so two rows of one minute are in order.
TEST(LoadTimes, TakeTwoLevelsOfOnePortThatWereReadInOneMinute) {
    TestDay test;
    test.water("start water", 13.0)
        .level("L1", 0.01, 13.1)
        .level("L1", 0.02, 13.1)
        .water("stop water", 13.5);
    EXPECT_THAT(test.times().levels, SizeIs(2));
    EXPECT_THAT(test.findings, IsEmpty());
}

TEST(LoadTimes, HoldALevelAgainstTheRowOfItsPortJustAboveAndNameAPortOnce) {
    TestDay test;
    test.water("start water", 13.0)
        .level("L1", 0.01, 13.1)
        .level("L1", 0.02, 13.4)
        .level("L1", 0.03, 13.3)
        .level("L1", 0.04, 13.2)
        .water("stop water", 13.5);
    EXPECT_THAT(test.times().levels, IsEmpty());
    ASSERT_THAT(test.findings, SizeIs(1));
    EXPECT_EQ(test.findings[0].where.row, 5);
    EXPECT_THAT(test.findings[0].what, HasSubstr("6 minutes before that of row 4"));
}

TEST(LoadTimes, AreNotKnownWhenTheWaterWasStoppedInTheMinuteInWhichItWasStarted) {
    TestDay test;
    test.water("Start water", 13.0).level("L1", 0.01, 13.0).water("STOP water", 13.0);
    EXPECT_FALSE(test.times().running_s);
    ASSERT_THAT(test.findings, SizeIs(1));
    EXPECT_THAT(test.findings[0].what, HasSubstr("at the moment it was started (row 2)"));
    EXPECT_EQ(test.findings[0].what.find("exchanged"), std::string::npos);
}

TEST(LoadTimes, LeaveOutALevelFromAMinuteBeforeTheStartOrAfterTheStopOn) {
    constexpr double minute_h = 1.0 / 60.0;
    const auto kept = [&](double clock_h) {
        TestDay test;
        test.water("start water", 13.0).level("L1", 0.01, clock_h).water("stop water", 13.5);
        const bool used = !test.times().levels.empty();
        EXPECT_EQ(test.findings.empty(), used);
        for (const Finding& finding : test.findings) {
            EXPECT_THAT(finding.what, HasSubstr("read 1 minute "));
        }
        return used;
    };
    EXPECT_TRUE(kept(13.0 - 0.9 * minute_h));
    EXPECT_FALSE(kept(13.0 - 1.1 * minute_h));
    EXPECT_TRUE(kept(13.5 + 0.9 * minute_h));
    EXPECT_FALSE(kept(13.5 + 1.1 * minute_h));
}

TEST(LoadTimes, TellAStopOfTheDayBeforeInHours) {
    TestDay test;
    test.water("start water", 23.5).water("stop water", 0.25);
    test.times();
    ASSERT_THAT(test.findings, SizeIs(1));
    EXPECT_THAT(test.findings[0].what, HasSubstr("23.2 hours before it was started"));
    EXPECT_THAT(test.findings[0].what_to_do, HasSubstr("past midnight"));
}

TEST(LoadTimes, TakeNoLevelThatStandsBesideNoPort) {
    TestDay test;
    test.water("start water", 13.0).level("", 0.01, 13.1).water("stop water", 13.5);
    EXPECT_THAT(test.times().levels, IsEmpty());
    EXPECT_THAT(test.findings, IsEmpty());
}

TEST(LoadTimes, TakeTheStopThatFollowsTheStartNotThatOfAnEarlierFilling) {
    TestDay test;
    test.water("stop", 12.5).water("start water", 13.0).water("stop water", 13.5);
    EXPECT_DOUBLE_EQ(test.times().running_s.value(), 1800.0);
    EXPECT_THAT(test.findings, IsEmpty());
}

TEST(LoadTimes, AddUpWaterThatWasRunTwiceAndKeepTheLevelsOfBoth) {
    TestDay test;
    test.water("start water", 13.0)
        .level("L1", 0.01, 13.1)
        .water("stop water", 13.2)
        .water("start water", 13.5)
        .level("L1", 0.02, 13.6)
        .water("stop water", 14.0);
    const LoadTimes times = test.times();
    EXPECT_NEAR(times.running_s.value(), 0.7 * hour_s, 1e-6);
    EXPECT_EQ(times.fillings, 2);
    EXPECT_THAT(times.levels, SizeIs(2));
    EXPECT_THAT(test.findings, IsEmpty());
}

TEST(LoadTimes, NameAStartWithoutItsStopAndAStopWithoutItsStart) {
    TestDay test;
    test.water("start water", 13.0).water("stop water", 13.2).water("start water", 13.5);
    EXPECT_NEAR(test.times().running_s.value(), 0.2 * hour_s, 1e-6);
    ASSERT_THAT(test.findings, SizeIs(1));
    EXPECT_EQ(test.findings[0].where.row, 4);
    EXPECT_THAT(test.findings[0].what, HasSubstr("no row says when it was stopped"));
    test.job.load_test.back().step = "stop water";
    EXPECT_NEAR(test.times().running_s.value(), 0.2 * hour_s, 1e-6);
    ASSERT_THAT(test.findings, SizeIs(1));
    EXPECT_THAT(test.findings[0].what_to_do, HasSubstr("turned on again"));
}

TEST(LoadTimes, WithholdSharesOfPortsThatWereReadAtTwoMoments) {
    TestDay test;
    test.water("start water", 13.0)
        .level("L1", 0.01, 13.1)
        .level("L2", 0.01, 13.1)
        .level("L1", 0.02, 13.4)
        .water("stop water", 13.5);
    EXPECT_THAT(test.times().shares_withheld,
                HasSubstr("level of L2 was read 18 minutes before that of L1"));
}

TEST(LoadTimes, SayThatALevelWouldFitByTwentyFourHours) {
    TestDay test;
    test.water("start water", 13.0).level("L1", 0.01, 1.2).water("stop water", 13.5);
    EXPECT_THAT(test.times().levels, IsEmpty());
    ASSERT_THAT(test.findings, SizeIs(1));
    EXPECT_THAT(test.findings[0].what_to_do, HasSubstr("by 24 hours"));
}

TEST(LoadTimes, KeepSharesFromBeingGivenByTheLoadTest) {
    TestDay test;
    sondeline::Run run;
    run.id = RunId{"L1"};
    run.diameter_m = Cell<double>{0.1, {}};
    test.job.runs = {run};
    LoadStep& bucket = test.row();
    bucket.volume_m3 = Cell<double>{0.010, {}};
    bucket.seconds = Cell<double>{60.0, {}};
    test.water("start water", 13.5).level("L1", 0.014, 13.2).water("stop water", 13.0);
    Findings findings;
    const auto balance = balance_load_test(test.job, LengthUnit::metre, findings);
    EXPECT_FALSE(balance->volume_in_l);
    ASSERT_THAT(balance->ports, SizeIs(1));
    EXPECT_FALSE(balance->ports[0].share_pct);
}

}  // namespace
}  // namespace sondeline
