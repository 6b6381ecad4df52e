#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "appraisal/parts.hpp"

namespace sondeline {
namespace {

using ::testing::HasSubstr;
using ::testing::IsEmpty;

constexpr double kGallonM3 = 3.785411784e-3;  // exactly, NIST SP 811

LoadStep bucket(double gallons, double seconds) {
    LoadStep step;
    step.volume_m3 = Cell<double>{gallons * kGallonM3, {}};
    step.seconds = Cell<double>{seconds, {}};
    return step;
}

LoadStep at_clock(const char* words, double clock_s) {
    LoadStep step;
    step.step = words;
    step.clock_s = Cell<double>{clock_s, {}};
    return step;
}

LoadStep level(const char* port, double level_m) {
    LoadStep step;
    step.point = port;
    step.level_m = Cell<double>{level_m, {}};
    return step;
}

std::string all_words(const LoadTestBalance& balance) {
    std::string words;
    for (const std::string& sentence : balance.words) words += sentence + " ";
    return words;
}

Run lateral(const char* id) {
    Run run;
    run.id = RunId{id};
    run.diameter_m = Cell<double>{0.1, {}};
    return run;
}

// Half an hour of a hose that fills 5 US gallons in 36 s, into ports of 100 mm bore.
Job half_an_hour(std::vector<LoadStep> levels) {
    Job job;
    job.runs = {lateral("L1"), lateral("L2")};
    job.load_test = {bucket(5.0, 36.0), at_clock("start water", 1000.0)};
    job.load_test.insert(job.load_test.end(), levels.begin(), levels.end());
    job.load_test.push_back(at_clock("stop water", 2800.0));
    return job;
}

LoadTestBalance balanced(const Job& job) {
    Findings findings;
    return *balance_load_test(job, LengthUnit::metre, findings);
}

// 18.927 L / 36 s = 0.5258 L/s.
TEST(LoadTest, TimesTheHoseByBucketAndWatch) {
    const LoadTestBalance balance = balanced(half_an_hour({}));
    EXPECT_NEAR(balance.hose_flow_l_s->value, 0.52575, 1e-4);
    EXPECT_NEAR(balance.volume_in_l->value, 0.52575 * 1800.0, 0.2);
}

// 5 gal in 36 s and in 18 s: twice the flow.
TEST(LoadTest, GivesNoFlowByTimingsThatContradictOneAnother) {
    Job job = half_an_hour({});
    job.load_test.push_back(bucket(5.0, 18.0));
    Findings findings;
    const auto balance = balance_load_test(job, LengthUnit::foot, findings);
    EXPECT_FALSE(balance->hose_flow_l_s);
    EXPECT_FALSE(balance->volume_in_l);
    ASSERT_FALSE(findings.empty());
    EXPECT_THAT(findings[0].what, HasSubstr("0.53 L/s (8.3 US gal/min)"));
    EXPECT_THAT(findings[0].what, HasSubstr("1.05 L/s (16.7 US gal/min)"));
}

TEST(LoadTest, BoundsTheHoseSoThatEachTimingLiesWithin) {
    Job job = half_an_hour({});
    job.load_test.push_back(bucket(5.0, 42.0));
    const Estimate flow = *balanced(job).hose_flow_l_s;
    EXPECT_LE(flow.value - 1.96 * flow.sd, 5.0 * 3.785411784 / 42.0);
    EXPECT_GE(flow.value + 1.96 * flow.sd, 5.0 * 3.785411784 / 36.0);
}

// 250 gal went in (5 gal each 36 s for 1800 s), of a design flow of 450 gal a day: 55.6 %, at
// 12,000 gal a day or 26.7 times the average.
TEST(LoadTest, IsHeldAgainstADayOfDesignFlow) {
    Job job = half_an_hour({});
    job.settings.design_flow_m3_per_s = 450.0 * kGallonM3 / 86400.0;
    const LoadTestBalance balance = balanced(job);
    EXPECT_NEAR(*balance.design_flow_l_per_day, 1703.4, 0.1);
    EXPECT_NEAR(balance.design_day_pct->value, 55.56, 0.01);
    EXPECT_GT(balance.design_day_pct->sd, 1.0);
    EXPECT_THAT(all_words(balance), HasSubstr("56 % ± 4 of such a day"));
    EXPECT_THAT(all_words(balance), HasSubstr("27 times its average rate"));
    EXPECT_THAT(all_words(balance), HasSubstr("does not show what a whole day of use would do"));
}

TEST(LoadTest, AsksForTheDesignFlowWhenNoneIsGiven) {
    const Job job = half_an_hour({});
    Findings findings;
    const auto balance = balance_load_test(job, LengthUnit::metre, findings);
    EXPECT_FALSE(balance->design_day_pct);
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_THAT(findings[0].what, HasSubstr("design flow"));
}

// Critical depth y = 1.01 D^−0.26 (Q²/g)^0.25 (Straub, 1978, from memory): 0.44 L/s stand 30 mm
// over the invert of a 100 mm pipe and 0.09 L/s 13 mm; together the 0.53 L/s of the hose.
TEST(LoadTest, SharesTheWaterByTheLevelsWhenTheyAddUpToTheHose) {
    const LoadTestBalance balance =
        balanced(half_an_hour({level("port L1", 0.010), level("port L2", 0.004),
                               level("port L1", 0.030), level("port L2", 0.013)}));
    ASSERT_EQ(balance.ports.size(), 2U);
    ASSERT_TRUE(balance.ports[0].share_pct) << balance.ports[0].share_withheld;
    EXPECT_NEAR(balance.ports[0].share_pct->value, 83.0, 2.0);
    EXPECT_LT(balance.ports[0].share_pct->lo95, 78.0);
    EXPECT_NEAR(balance.ports[0].share_pct->value + balance.ports[1].share_pct->value, 100.0, 1e-9);
    EXPECT_THAT(balance.ports[0].words, HasSubstr("if it runs off freely"));
}

TEST(LoadTest, WithholdsSharesWhereWaterStandsInThePipes) {
    const LoadTestBalance balance =
        balanced(half_an_hour({level("port L1", 0.07), level("port L2", 0.07)}));
    EXPECT_FALSE(balance.ports[0].share_pct);
    EXPECT_THAT(all_words(balance), HasSubstr("water stands in the pipes"));
}

TEST(LoadTest, WithholdsSharesWhereAPortIsDrowned) {
    const LoadTestBalance balance =
        balanced(half_an_hour({level("port L1", 0.095), level("port L2", 0.01)}));
    EXPECT_FALSE(balance.ports[0].share_pct);
    EXPECT_THAT(all_words(balance), HasSubstr("port L1 stood under water to its crown"));
}

TEST(LoadTest, WithholdsSharesWhereThePipeOfAPortIsNotKnown) {
    const LoadTestBalance balance = balanced(half_an_hour({level("west port", 0.03)}));
    EXPECT_FALSE(balance.ports[0].share_pct);
    EXPECT_THAT(all_words(balance), HasSubstr("name the port after its run"));
}

TEST(LoadTest, GivesACappedPortNoShare) {
    Job job = half_an_hour({level("port L1", 0.033), level("port L2", 0.02)});
    job.runs[1].status = RunStatus::capped;
    const LoadTestBalance balance = balanced(job);
    ASSERT_TRUE(balance.ports[1].share_pct) << balance.ports[1].share_withheld;
    EXPECT_EQ(balance.ports[1].share_pct->value, 0.0);
}

// 5 US gal in 36 s are 8.33 a minute; 250 in half an hour, 946 L.
TEST(LoadTest, GivesFlowAndVolumeInTheUnitsOfTheJobFirst) {
    Findings findings;
    Job job = half_an_hour({});
    job.settings.design_flow_m3_per_s = 450.0 * kGallonM3 / 86400.0;
    const std::string feet = all_words(*balance_load_test(job, LengthUnit::foot, findings));
    EXPECT_THAT(feet, HasSubstr("The hose gave 8.3 US gal/min ± 0.6 (0.53 L/s ± 0.04)"));
    EXPECT_THAT(feet, HasSubstr("250 US gal ± 17 (946 L ± 62) went in"));
    EXPECT_THAT(feet, HasSubstr("450 US gal (1703 L) a day"));
    const std::string metric = all_words(balanced(job));
    EXPECT_THAT(metric, HasSubstr("The hose gave 0.53 L/s ± 0.04 (8.3 US gal/min ± 0.6)"));
    EXPECT_THAT(metric, HasSubstr("1703 L (450 US gal) a day"));
}

TEST(LoadTest, SaysNothingWhenNoneWasMade) {
    Findings findings;
    EXPECT_FALSE(balance_load_test({}, LengthUnit::metre, findings));
    EXPECT_THAT(findings, IsEmpty());
}

// 2 1/2 in = 63.5 mm exactly.
TEST(LoadTest, GivesLevelsInInchesInAJobInFeet) {
    const Job job = half_an_hour({level("port L1", 0.0635)});
    Findings findings;
    const LoadTestBalance feet = *balance_load_test(job, LengthUnit::foot, findings);
    ASSERT_EQ(feet.ports.size(), 1U);
    EXPECT_THAT(feet.ports[0].words, HasSubstr("2.50 in of water"));
    EXPECT_THAT(balanced(job).ports[0].words, HasSubstr("64 mm of water"));
}

// A bucket of 36 gal in 5 s: 27 L/s. Exchanged, it is 5 gal in 36 s.
TEST(LoadTest, DoesNotBelieveAHoseThatFillsABarrelInSeconds) {
    Job job = half_an_hour({});
    for (LoadStep& step : job.load_test) {
        if (step.volume_m3) step = bucket(36.0, 5.0);
    }
    Findings findings;
    const auto balance = balance_load_test(job, LengthUnit::metre, findings);
    EXPECT_FALSE(balance->hose_flow_l_s);
    EXPECT_FALSE(balance->volume_in_l);
    EXPECT_THAT(findings.front().what, HasSubstr("more than a hose gives"));
}

TEST(LoadTest, DoesNotBelieveThatItRanForHalfADay) {
    Job job = half_an_hour({});
    for (LoadStep& step : job.load_test) {
        if (step.clock_s && step.step.find("start") != std::string::npos) {
            step.clock_s->value -= 12.0 * 3600.0;
        }
    }
    Findings findings;
    const auto balance = balance_load_test(job, LengthUnit::metre, findings);
    EXPECT_TRUE(balance->hose_flow_l_s);
    EXPECT_FALSE(balance->volume_in_l);
    EXPECT_THAT(findings.front().what, HasSubstr("ran for 12.5 hours"));
}

}  // namespace
}  // namespace sondeline
