#include <gtest/gtest.h>

#include "sondeline/appraisal.hpp"

namespace sondeline {
namespace {

struct OneLateral {
    Job job;
    Site site;
    Lines lines;
    Profiles profiles;

    explicit OneLateral(Bounded length_m) {
        site.job_unit = LengthUnit::foot;
        SiteRun run;
        run.id.text = "L1";
        run.kind = RunKind::lateral;
        site.runs.push_back(run);
        AlignedRun aligned;
        aligned.run = run;
        aligned.length_m = figure(length_m);
        lines.runs.push_back(aligned);
        GradedRun graded;
        graded.id = run.id;
        profiles.runs.push_back(graded);
    }

    RecordCheck check(RecordItem item, double value) {
        RecordClaim claim;
        claim.item = item;
        claim.value = value;
        claim.as_written = "as written";
        job.records = {claim};
        return appraise(job, site, lines, profiles).records.front();
    }
};

TEST(Records, FallShortOnlyWhenTheWholeIntervalDoes) {
    OneLateral lateral({19.0, 18.8, 19.2});
    EXPECT_EQ(lateral.check(RecordItem::total_trench_length, 30.0).verdict,
              RecordVerdict::short_of);
    EXPECT_EQ(lateral.check(RecordItem::total_trench_length, 19.1).verdict, RecordVerdict::agrees);
    EXPECT_EQ(lateral.check(RecordItem::total_trench_length, 12.0).verdict, RecordVerdict::longer);
}

TEST(Records, AreNotJudgedByAMeasurementThatIsTooLoose) {
    OneLateral lateral({19.0, 14.0, 24.0});
    EXPECT_EQ(lateral.check(RecordItem::total_trench_length, 20.0).verdict,
              RecordVerdict::cannot_tell);
}

TEST(Records, CannotBeCheckedAgainstALengthThatWasWithheld) {
    OneLateral lateral({19.0, 18.8, 19.2});
    lateral.lines.runs[0].length_m = withheld<Bounded>("no footage", "push it again");
    const RecordCheck check = lateral.check(RecordItem::total_trench_length, 30.0);
    EXPECT_EQ(check.verdict, RecordVerdict::cannot_tell);
    EXPECT_FALSE(check.difference.has_value());
}

TEST(Records, CountLaterals) {
    OneLateral lateral({19.0, 18.8, 19.2});
    EXPECT_EQ(lateral.check(RecordItem::number_of_laterals, 1.0).verdict, RecordVerdict::agrees);
    EXPECT_EQ(lateral.check(RecordItem::number_of_laterals, 3.0).verdict, RecordVerdict::short_of);
}

TEST(Records, NeverClaimToHaveMeasuredAYear) {
    OneLateral lateral({19.0, 18.8, 19.2});
    EXPECT_EQ(lateral.check(RecordItem::install_year, 1987.0).verdict, RecordVerdict::cannot_tell);
}

TEST(Quantities, AddUpToTheRun) {
    OneLateral lateral({19.0, 18.8, 19.2});
    Stretch stretch;
    stretch.to_m = 7.3;
    lateral.profiles.runs[0].stretches = {stretch};
    const Appraisal appraisal =
        appraise(lateral.job, lateral.site, lateral.lines, lateral.profiles);
    ASSERT_EQ(appraisal.quantities.size(), 2U);
    EXPECT_DOUBLE_EQ(
        appraisal.quantities[0].length_m.value + appraisal.quantities[1].length_m.value, 19.0);
    EXPECT_EQ(appraisal.quantities[0].depth_band, "not measured");
}

// 5 US gallons in 36 s: 18.927 L / 36 s = 0.5258 L/s (1 gal = 3.785411784 L, NIST SP 811).
TEST(LoadTest, TimesTheHoseByBucketAndWatch) {
    OneLateral lateral({19.0, 18.8, 19.2});
    LoadStep bucket;
    bucket.volume_m3 = Cell<double>{5.0 * 0.003785411784, {}};
    bucket.seconds = Cell<double>{36.0, {}};
    LoadStep start;
    start.step = "start water";
    start.clock_s = Cell<double>{1000.0, {}};
    LoadStep stop;
    stop.step = "stop water";
    stop.clock_s = Cell<double>{2800.0, {}};
    lateral.job.load_test = {bucket, start, stop};
    const Appraisal appraisal =
        appraise(lateral.job, lateral.site, lateral.lines, lateral.profiles);
    ASSERT_TRUE(appraisal.load_test.has_value());
    EXPECT_NEAR(appraisal.load_test->hose_flow_l_s->value, 0.52575, 1e-4);
    EXPECT_NEAR(appraisal.load_test->volume_in_l->value, 0.52575 * 1800.0, 0.2);
}

}  // namespace
}  // namespace sondeline
