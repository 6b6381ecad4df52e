#include "pipeline/taped_crowns.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "pipeline/three_structures.hpp"

namespace sondeline {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;

double tape_sd_m(const AlignedRun& run, VerticalKind kind) {
    for (const StationedVertical& seen : run.vertical) {
        if (seen.row.kind == kind) return seen.row.depth_m.sd;
    }
    return 0.0;
}

TEST(TapedCrowns, AreNamedAndDoubtedWhereBothTapesOfAStructureLieOneBoreHigh) {
    Lines lines = three_structures(bore_m);
    doubt_taped_crowns(LengthUnit::foot, lines);
    ASSERT_EQ(lines.findings.size(), 1U);
    EXPECT_EQ(lines.findings[0].where.structure, "tank");
    EXPECT_THAT(lines.findings[0].what, HasSubstr("taped at tank (BS, EL) lie 3.9 in (10 cm)"));
    EXPECT_DOUBLE_EQ(tape_sd_m(lines.runs[0], VerticalKind::taped_end), bore_m);
    EXPECT_DOUBLE_EQ(tape_sd_m(lines.runs[1], VerticalKind::taped_start), bore_m);
    EXPECT_DOUBLE_EQ(tape_sd_m(lines.runs[1], VerticalKind::taped_end), 0.005);
}

TEST(TapedCrowns, AreNotSeenInTapesThatAgreeOrAreOffByAnythingElse) {
    for (const double slip_m : {0.0, 0.03, -bore_m, 2.0 * bore_m}) {
        Lines lines = three_structures(slip_m);
        doubt_taped_crowns(LengthUnit::foot, lines);
        EXPECT_THAT(lines.findings, IsEmpty()) << slip_m;
    }
}

// A locator that reads everything a bore too deep is no fault of the tapes of one structure.
TEST(TapedCrowns, AreNotBlamedForALocatorThatIsOffEverywhere) {
    Lines lines = three_structures(0.0, bore_m);
    doubt_taped_crowns(LengthUnit::foot, lines);
    EXPECT_THAT(lines.findings, IsEmpty());
}

// Tapes that all lie about a bore high do not set one structure apart from the others.
TEST(TapedCrowns, AreNotNamedAtOneStructureWhereTheOtherTapesLieAsHigh) {
    Lines lines = three_structures(1.35 * bore_m, 0.0, 0.7 * bore_m);
    doubt_taped_crowns(LengthUnit::foot, lines);
    EXPECT_THAT(lines.findings, IsEmpty());
}

TEST(TapedCrowns, CannotBeToldWithoutTheGroundAtTheDepths) {
    Lines lines = three_structures(bore_m);
    for (AlignedRun& run : lines.runs) {
        for (StationedVertical& seen : run.vertical) seen.row.ground_m.reset();
    }
    doubt_taped_crowns(LengthUnit::foot, lines);
    EXPECT_THAT(lines.findings, IsEmpty());
}

}  // namespace
}  // namespace sondeline
