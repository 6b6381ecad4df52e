#include "alignment/site_data.hpp"

#include <gtest/gtest.h>

#include "small_sites.hpp"

namespace sondeline::alignment {
namespace {

using made::SmallSite;

// A run of 20 m from a tank, with a fix in its middle.
SmallSite one_run() {
    SmallSite job;
    job.site.job_unit = LengthUnit::metre;
    const int tank = job.structure("tank", StructureKind::tank, PlanPoint{0.0, 0.0});
    job.run("L1", tank, std::nullopt, 20.0);
    job.fix(0, 10.0, PlanPoint{0.0, 10.0});
    return job;
}

const LeftOut& only_left_out(const NetworkData& data) {
    EXPECT_EQ(data.left_out.size(), 1U);
    return data.left_out.at(0);
}

TEST(SiteData, LeavesOutAFixBeyondEitherEndOfItsRun) {
    for (const double x_m : {-1.2, 20.6}) {
        SmallSite job = one_run();
        job.fix(0, x_m, PlanPoint{0.0, x_m});
        const NetworkData data = observed_on(job.site);
        EXPECT_EQ(only_left_out(data).fix, 1);
        EXPECT_EQ(only_left_out(data).use, FixUse::rejected);
        EXPECT_EQ(data.runs.at(0).positions.size(), 1U);
    }
    SmallSite job = one_run();
    job.fix(0, 20.4, PlanPoint{0.0, 20.4});  // the reel gives a little
    EXPECT_TRUE(observed_on(job.site).left_out.empty());
}

TEST(SiteData, CountsARepeatedFixOnce) {
    SmallSite job = one_run();
    job.site.fixes.push_back(job.site.fixes[0]);
    job.site.fixes[1].id = "F2";
    const NetworkData data = observed_on(job.site);
    EXPECT_EQ(only_left_out(data).use, FixUse::used);
    EXPECT_EQ(only_left_out(data).same_as, 0);
    EXPECT_EQ(data.runs.at(0).positions.size(), 1U);
    job.site.fixes[1].position->at.e_m += 0.01;  // taken again
    EXPECT_TRUE(observed_on(job.site).left_out.empty());
}

TEST(SiteData, AssumesAnAccuracyWhereNoneIsUsableAndSaysSo) {
    SmallSite job = one_run();
    job.site.fixes[0].position->cov = {0.0, 0.0, 0.0};
    const NetworkData data = observed_on(job.site);
    ASSERT_EQ(data.findings.size(), 1U);
    EXPECT_EQ(data.findings[0].where.file, "fixes.csv");
    EXPECT_NE(data.findings[0].what.find("0.15 m"), std::string::npos);
    EXPECT_DOUBLE_EQ(data.runs.at(0).positions.at(0).stated_m, 0.15);
}

TEST(SiteData, LetsAStructureHoldTheEndOfARunOnlyWhenThePushReachedIt) {
    SmallSite job = one_run();
    job.site.runs[0].to = job.structure("box", StructureKind::junction, PlanPoint{0.0, 20.0});
    EXPECT_TRUE(observed_on(job.site).runs.at(0).to_node.has_value());
    job.site.runs[0].stops_short = true;
    EXPECT_FALSE(observed_on(job.site).runs.at(0).to_node.has_value());
}

TEST(SiteData, TakesRunsWithoutAFixForNoneOfTheAdjustment) {
    SmallSite job = one_run();
    job.run("L2", 0, std::nullopt, 15.0);
    const NetworkData data = observed_on(job.site);
    EXPECT_EQ(data.runs.size(), 1U);
    EXPECT_FALSE(data.data_of_run.at(1).has_value());
}

TEST(SiteData, GivesEveryReelOfTheDayItsOwnScale) {
    SmallSite job = one_run();
    job.run("L2", 0, std::nullopt, 15.0).reel = "long reel";
    job.run("L3", 0, std::nullopt, 15.0);
    const NetworkData data = observed_on(job.site);
    EXPECT_EQ(data.reels, (std::vector<std::string>{"", "long reel"}));
    EXPECT_EQ(data.reel_of_run, (std::vector<int>{0, 1, 0}));
}

TEST(SiteData, CannotFindTheOffsetOfAReceiverThatTookEveryPosition) {
    SmallSite job = one_run();
    job.site.receivers = {{"rover", 1.5}};
    job.site.structures[0].receiver = job.site.fixes[0].receiver = 0;
    const NetworkData alone = observed_on(job.site);
    EXPECT_TRUE(alone.receivers_m.empty());
    EXPECT_EQ(alone.common_offset_m, 1.5);
    job.site.structures[0].receiver.reset();
    const NetworkData mixed = observed_on(job.site);
    EXPECT_EQ(mixed.receivers_m, std::vector<double>{1.5});
    EXPECT_FALSE(mixed.common_offset_m.has_value());
}

TEST(SiteData, DoesNotUseTapesAgainThatFixedAStructure) {
    SmallSite job = one_run();
    const int corner = job.structure("corner", StructureKind::reference, PlanPoint{5.0, 0.0});
    job.site.ties = {{0, corner, {5.0, 0.02}, "tie tank from corner"}};
    EXPECT_EQ(observed_on(job.site).ties.size(), 1U);
    job.site.structures[0].how_fixed = "swing ties from corner";
    EXPECT_TRUE(observed_on(job.site).ties.empty());
}

TEST(MeasuredLength, IsBelievedUpToFiveHundredMetres) {
    SiteRun run;
    EXPECT_FALSE(measured_length_m(run).has_value());
    for (const auto& [length_m, believed] :
         {std::pair{0.04, false}, {0.06, true}, {500.0, true}, {501.0, false}}) {
        run.counter_length_m = figure(length_m);
        EXPECT_EQ(measured_length_m(run).has_value(), believed) << length_m;
    }
}

}  // namespace
}  // namespace sondeline::alignment
