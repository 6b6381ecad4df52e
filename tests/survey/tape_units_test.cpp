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
}

TEST(TapeUnits, KeepTheTapeOfTheOtherEnd) {
    const Taped one(2.5, 28.0, {2.4, 2.5, 2.4});
    ASSERT_EQ(one.findings.size(), 1U);
    EXPECT_THAT(one.findings[0].what, HasSubstr("In inches it would fit. It was not used."));
    EXPECT_EQ(one.findings[0].where.column, "end invert depth");
    ASSERT_EQ(one.runs[0].vertical.size(), 1U);
    EXPECT_EQ(one.runs[0].vertical[0].kind, VerticalKind::taped_start);
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

TEST(TapeUnits, AreNotToldWithoutDepths) {
    EXPECT_TRUE(Taped(24.5, 26.5, {2.0}).findings.empty());
}

}  // namespace
}  // namespace sondeline
