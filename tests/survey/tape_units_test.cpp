#include "survey/tape_units.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "sondeline/terms.hpp"

namespace sondeline {
namespace {

using ::testing::HasSubstr;

constexpr double foot_m = 0.3048;

// One run of a job in feet, with inverts typed at both ends and depths located along it.
struct Taped {
    Job job;
    std::vector<SiteFix> fixes;
    std::vector<SiteRun> runs;
    Findings findings;

    Taped(double start_ft, double end_ft, const std::vector<double>& depths_ft) {
        sondeline::Run run;
        run.id = RunId{"A"};
        run.start_invert_depth_m =
            Cell<double>{start_ft * foot_m, {"runs.csv", 2, "start invert depth"}};
        run.end_invert_depth_m = Cell<double>{end_ft * foot_m, {"runs.csv", 2, "end invert depth"}};
        job.runs = {run};
        runs.emplace_back();
        for (const VerticalKind kind : {VerticalKind::taped_start, VerticalKind::taped_end}) {
            VerticalObservation row;
            row.kind = kind;
            runs[0].vertical.push_back(row);
        }
        for (const double depth_ft : depths_ft) {
            SiteFix fix;
            fix.run = 0;
            fix.depth_m = Estimate{depth_ft * foot_m, 0.05};
            fixes.push_back(fix);
        }
        leave_out_tapes_in_another_unit(job, LengthUnit::foot, fixes, runs, findings);
    }
};

// 24.5 in and 26.5 in are 2.04 ft and 2.21 ft; 62 cm and 67 cm are 2.03 ft and 2.20 ft.
TEST(TapeUnits, NameTheUnitInWhichTheTapesWouldFitTheDepths) {
    const Taped inches(24.5, 26.5, {2.0, 2.1, 2.2});
    ASSERT_EQ(inches.findings.size(), 1U);
    EXPECT_THAT(inches.findings[0].what, HasSubstr("In inches they would fit."));
    EXPECT_EQ(inches.findings[0].where.file, "runs.csv");
    EXPECT_EQ(inches.findings[0].where.row, 2);
    EXPECT_TRUE(inches.runs[0].vertical.empty());
    const Taped centimetres(62.0, 67.0, {2.0, 2.1, 2.2});
    ASSERT_EQ(centimetres.findings.size(), 1U);
    EXPECT_THAT(centimetres.findings[0].what, HasSubstr("In centimetres they would fit."));
    EXPECT_THAT(centimetres.findings[0].what_to_do, HasSubstr("like 62 cm"));
    const Taped millimetres(620.0, 670.0, {2.0, 2.1, 2.2});
    ASSERT_EQ(millimetres.findings.size(), 1U);
    EXPECT_THAT(millimetres.findings[0].what, HasSubstr("In millimetres they would fit."));
}

TEST(TapeUnits, KeepTheTapeOfTheOtherEnd) {
    const Taped one(2.5, 28.0, {2.4, 2.5, 2.4});
    ASSERT_EQ(one.findings.size(), 1U);
    EXPECT_THAT(one.findings[0].what, HasSubstr("In inches it would fit. It was not used."));
    EXPECT_EQ(one.findings[0].where.column, "end invert depth");
    ASSERT_EQ(one.runs[0].vertical.size(), 1U);
    EXPECT_EQ(one.runs[0].vertical[0].kind, VerticalKind::taped_start);
}

// 24.5 in and 67 cm: neither is used, and each is told with its own unit.
TEST(TapeUnits, NameTheUnitOfEachTapeWhereTheTwoDiffer) {
    const Taped taped(24.5, 67.0, {2.0, 2.1, 2.2});
    ASSERT_EQ(taped.findings.size(), 2U);
    EXPECT_THAT(taped.findings[0].what, HasSubstr("In inches it would fit. It was not used."));
    EXPECT_EQ(taped.findings[0].where.column, "start invert depth");
    EXPECT_THAT(taped.findings[1].what, HasSubstr("In centimetres it would fit."));
    EXPECT_EQ(taped.findings[1].where.column, "end invert depth");
    EXPECT_TRUE(taped.runs[0].vertical.empty());
}

TEST(TapeUnits, NameNoneWhereNoUnitWouldFit) {
    EXPECT_TRUE(Taped(60.0, 61.0, {8.0, 8.1, 8.2}).findings.empty());
    EXPECT_TRUE(Taped(12.0, 12.5, {2.0, 2.1, 2.2}).findings.empty());
}

// Four metres of cover on a slope beyond a basement: deep, and the depths say so too.
TEST(TapeUnits, BelieveDeepTapesThatTheDepthsAgreeWith) {
    EXPECT_TRUE(Taped(13.0, 14.0, {12.9, 13.5, 13.8}).findings.empty());
    EXPECT_TRUE(Taped(2.0, 2.2, {2.0, 2.1}).findings.empty());
}

// 8 in would fit the depths, but pipes do lie 8 ft deep: the tapes stay.
TEST(TapeUnits, BelieveTapesAtDepthsWhereSewersLie) {
    EXPECT_TRUE(Taped(8.0, 8.2, {0.7, 0.7, 0.7}).findings.empty());
}

// 12 cm would fit, but hardly a sewer lies 9 cm deep: the depths may be in another unit themselves.
TEST(TapeUnits, AreNotToldWhereTheDepthsAreNoneOfASewer) {
    EXPECT_TRUE(Taped(12.0, 13.0, {0.3, 0.3, 0.3}).findings.empty());
}

TEST(TapeUnits, AreHeldAgainstTheDepthsOfTheirOwnRunWhereThereAreEnough) {
    const std::vector<double> none;
    Taped taped(24.5, 26.5, none);
    const auto fixes_of = [&](int run, double depth_ft, int count) {
        for (int i = 0; i < count; ++i) {
            SiteFix fix;
            fix.run = run;
            fix.depth_m = Estimate{depth_ft * foot_m, 0.05};
            taped.fixes.push_back(fix);
        }
    };
    const auto told = [&] {
        std::vector<SiteRun> runs(1);
        Findings findings;
        leave_out_tapes_in_another_unit(taped.job, LengthUnit::foot, taped.fixes, runs, findings);
        return findings.size();
    };
    fixes_of(1, 2.1, 5);
    EXPECT_EQ(told(), 1U) << "the depths of the job";
    fixes_of(0, 8.0, 2);
    EXPECT_EQ(told(), 0U);
}

// In metres 62 is 0.62 m in centimetres.
TEST(TapeUnits, TakeAFigureForOneOfTheJobsUnit) {
    Taped taped(62.0 / foot_m, 67.0 / foot_m, {2.0, 2.1, 2.2});
    Findings findings;
    leave_out_tapes_in_another_unit(taped.job, LengthUnit::metre, taped.fixes, taped.runs,
                                    findings);
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_THAT(findings[0].what, HasSubstr("In centimetres they would fit."));
}

TEST(TapeUnits, AreNotToldWithoutDepths) {
    EXPECT_TRUE(Taped(24.5, 26.5, {2.0}).findings.empty());
}

}  // namespace
}  // namespace sondeline
