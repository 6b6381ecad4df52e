#include "pipeline/tapes_together.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "pipeline/three_structures.hpp"

namespace sondeline {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;

TEST(TapesTogether, AtTheTopsOfAllPipesAreNamedWithTheLocator) {
    Lines lines = three_structures(bore_m, 0.0, bore_m);
    const auto together = doubt_tapes_together(LengthUnit::foot, lines);
    ASSERT_TRUE(together);
    EXPECT_NEAR(together->above_m, bore_m, 0.01);
    ASSERT_EQ(lines.findings.size(), 1U);
    EXPECT_THAT(lines.findings[0].what, HasSubstr("3.9 in (10 cm) above the depths"));
    EXPECT_THAT(lines.findings[0].what, HasSubstr("to the top of each pipe"));
    EXPECT_THAT(lines.findings[0].what, HasSubstr("the locator's zero is off"));
}

TEST(TapesTogether, FromRisersEverywhereAreNamedAsLyingBelowTheDepths) {
    Lines lines = three_structures(-0.15, 0.0, -0.15);
    const auto together = doubt_tapes_together(LengthUnit::foot, lines);
    ASSERT_TRUE(together);
    EXPECT_LT(together->reach_m, 0.0);
    EXPECT_THAT(lines.findings.at(0).what, HasSubstr("below the depths"));
    EXPECT_THAT(lines.findings.at(0).what, HasSubstr("a riser"));
}

// 3 cm and 3 % of the depth: common practice, no source.
TEST(TapesTogether, AreNotDoubtedForWhatOneLocatorIsOffBy) {
    for (const double off_m : {0.0, 0.03, 0.06, -0.06}) {
        Lines lines = three_structures(0.0, off_m);
        EXPECT_FALSE(doubt_tapes_together(LengthUnit::foot, lines)) << off_m;
        EXPECT_THAT(lines.findings, IsEmpty());
    }
}

TEST(TapesTogether, AreNotTakenTogetherWhereOnlyThoseOfOneStructureLieHigh) {
    Lines lines = three_structures(3.0 * bore_m);
    EXPECT_FALSE(doubt_tapes_together(LengthUnit::foot, lines));
}

TEST(TapesTogether, HaveInvertsAndDepthsReachBothAndLeaveSlopesAlone) {
    Lines lines = three_structures(bore_m, 0.0, bore_m);
    lines.runs[1].vertical.clear();
    lines.runs.push_back(lines.runs[0]);
    lines.runs[2].vertical.pop_back();  // taped at its start only
    Profiles profiles;
    profiles.runs.resize(3);
    for (GradedRun& graded : profiles.runs) {
        graded.slope = figure(Estimate{0.01, 0.001});
        graded.start_invert_m = figure(Bounded{99.3, 99.28, 99.32});
        graded.end_invert_m = figure(Bounded{99.1, 99.08, 99.12});
        graded.max_cover_m = figure(Bounded{0.9, 0.88, 0.92});
        graded.profile.push_back({0.0, {99.3, 99.28, 99.32}, 0.01, {}, {}});
        graded.profile.push_back({18.0, {99.1, 99.08, 99.12}, 0.01, {}, {}});
        graded.stretches.push_back({0.0, 18.0, graded.slope, 0.007, "", SlopeVerdict::meets});
    }
    reach_both({0.09, 0.1}, lines, profiles);
    const GradedRun& taped = profiles.runs[0];
    EXPECT_DOUBLE_EQ(taped.start_invert_m->lo95, 99.18);
    EXPECT_DOUBLE_EQ(taped.start_invert_m->hi95, 99.32);
    EXPECT_DOUBLE_EQ(taped.max_cover_m->hi95, 1.02);
    EXPECT_DOUBLE_EQ(taped.profile[0].z_m.lo95, 99.18);
    EXPECT_DOUBLE_EQ(taped.slope->sd, 0.001);
    EXPECT_EQ(taped.stretches[0].verdict, SlopeVerdict::meets);
    EXPECT_GT(profiles.runs[2].slope->sd, 0.002);
    EXPECT_DOUBLE_EQ(profiles.runs[2].end_invert_m->hi95, 99.22);
    EXPECT_DOUBLE_EQ(profiles.runs[2].start_invert_m->hi95, 99.32);
    EXPECT_EQ(profiles.runs[2].stretches[0].verdict, SlopeVerdict::cannot_tell);
    EXPECT_DOUBLE_EQ(profiles.runs[1].start_invert_m->lo95, 99.28);  // without tapes
}

}  // namespace
}  // namespace sondeline
