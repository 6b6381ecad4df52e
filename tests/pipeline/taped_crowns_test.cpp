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

TEST(TapedCrowns, AreNotSeenInTapesThatAgreeOrAreOffByLittleElse) {
    for (const double slip_m : {0.0, 0.03, -0.8 * bore_m}) {
        Lines lines = three_structures(slip_m);
        doubt_taped_crowns(LengthUnit::foot, lines);
        EXPECT_THAT(lines.findings, IsEmpty()) << slip_m;
    }
}

TEST(TapedCrowns, AreToldFromTapesThatWereTakenFromTheRimOfARiser) {
    Lines lines = three_structures(-0.15);
    doubt_taped_crowns(LengthUnit::foot, lines);
    ASSERT_EQ(lines.findings.size(), 1U);
    EXPECT_EQ(lines.findings[0].where.structure, "tank");
    EXPECT_THAT(lines.findings[0].what, HasSubstr("5.9 in (15 cm) below the depths"));
    EXPECT_THAT(lines.findings[0].what, HasSubstr("the rim of a riser"));
    EXPECT_NEAR(tape_sd_m(lines.runs[0], VerticalKind::taped_end), 0.15, 0.01);
    EXPECT_DOUBLE_EQ(tape_sd_m(lines.runs[0], VerticalKind::taped_start), 0.005);
}

TEST(TapedCrowns, TakeTheTapesOfBothSidesOfATankTogether) {
    for (const double apart_m : {2.5, 12.0}) {
        Lines lines = three_structures(-0.2);
        lines.structures.push_back(lines.structures[1]);
        lines.structures[1].id.text = "tank in";
        lines.structures[3].id.text = "tank out";
        for (const std::size_t s : {std::size_t{1}, std::size_t{3}}) {
            lines.structures[s].kind = StructureKind::tank;
            lines.structures[s].plan = PlanFix{{s == 1 ? 0.0 : apart_m, 0.0}, {}};
        }
        lines.runs[1].run.from = 3;
        doubt_taped_crowns(LengthUnit::foot, lines);
        ASSERT_EQ(lines.findings.size(), apart_m < 4.0 ? 1U : 0U);
        if (apart_m > 4.0) continue;
        EXPECT_THAT(lines.findings[0].what, HasSubstr("taped at tank in and tank out (BS, EL)"));
    }
}

// Then the ground of the tank is off by as much: grade tells that of its rod reading.
TEST(TapedCrowns, AreNotSoughtWhereTheGroundOfTheStructureIsOffAsMuch) {
    Lines lines = three_structures(0.0);
    lines.runs[0].vertical.back().row.ground_m->value -= 0.3048;
    for (StationedVertical& seen : lines.runs[1].vertical) {
        if (seen.row.kind == VerticalKind::taped_start) seen.row.ground_m->value -= 0.3048;
    }
    doubt_taped_crowns(LengthUnit::foot, lines);
    EXPECT_THAT(lines.findings, IsEmpty());
}

// The tapes of EL and L1 at the box lie far apart: then those of the tank only look off beside
// them.
TEST(TapedCrowns, AreNotToldBesideTapesThatContradictEachOther) {
    Lines lines = three_structures(0.0);
    lines.runs.push_back(lines.runs[1]);
    lines.runs[2].run.from = 2;
    lines.runs[2].run.to.reset();
    lines.runs[2].vertical.pop_back();
    for (StationedVertical& seen : lines.runs[2].vertical) {
        if (seen.row.kind == VerticalKind::taped_start) seen.row.depth_m.value += 1.8;
    }
    doubt_taped_crowns(LengthUnit::foot, lines);
    EXPECT_THAT(lines.findings, IsEmpty());
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
