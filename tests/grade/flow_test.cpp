#include "grade/flow.hpp"

#include <gtest/gtest.h>

namespace sondeline::grade {
namespace {

Flow flow(RunKind kind, std::optional<StructureKind> from, std::optional<StructureKind> to) {
    SiteRun run;
    run.kind = kind;
    std::vector<AlignedStructure> structures(2);
    if (from) {
        structures[0].kind = *from;
        run.from = 0;
    }
    if (to) {
        structures[1].kind = *to;
        run.to = 1;
    }
    return flow_of(run, structures);
}

TEST(Flow, OfABuildingSewerIsToTheTankWhicheverWayItWasPushed) {
    EXPECT_TRUE(
        flow(RunKind::building_sewer, StructureKind::cleanout, StructureKind::tank).with_push);
    EXPECT_FALSE(
        flow(RunKind::building_sewer, StructureKind::tank, StructureKind::building).with_push);
    EXPECT_FALSE(flow(RunKind::building_sewer, StructureKind::tank, {}).with_push);
    EXPECT_TRUE(flow(RunKind::building_sewer, StructureKind::building, {}).with_push);
}

TEST(Flow, OfAnEffluentLineIsFromTankToBox) {
    EXPECT_TRUE(flow(RunKind::effluent_line, StructureKind::tank, StructureKind::distribution_box)
                    .with_push);
    EXPECT_FALSE(flow(RunKind::effluent_line, StructureKind::distribution_box, {}).with_push);
}

TEST(Flow, OfALateralIsAwayFromTheBox) {
    const Flow out = flow(RunKind::lateral, StructureKind::distribution_box, {});
    EXPECT_TRUE(out.with_push);
    EXPECT_TRUE(out.known);
    EXPECT_TRUE(out.level);
    EXPECT_FALSE(
        flow(RunKind::lateral, StructureKind::trench_end, StructureKind::drop_box).with_push);
}

TEST(Flow, IsUnknownWhereNothingTells) {
    EXPECT_FALSE(flow(RunKind::other, StructureKind::junction, {}).known);
    EXPECT_FALSE(flow(RunKind::building_sewer, {}, {}).known);
    EXPECT_FALSE(flow(RunKind::lateral, StructureKind::drop_box, StructureKind::drop_box).known);
}

TEST(Flow, TakesAnIndexOutsideTheSiteAsUnknown) {
    SiteRun run;
    run.kind = RunKind::building_sewer;
    run.from = 7;
    EXPECT_FALSE(flow_of(run, {}).known);
}

// Typed as building sewer, a pipe from the box would run to it.
TEST(Flow, IsNotTakenFromAKindInDoubt) {
    SiteRun run;
    run.kind = RunKind::building_sewer;
    run.kind_doubt = "box is a distribution box";
    run.from = 0;
    std::vector<AlignedStructure> structures(1);
    structures[0].kind = StructureKind::distribution_box;
    EXPECT_FALSE(flow_of(run, structures).known);
    EXPECT_TRUE(flow_of(run, structures).with_push);
}

}  // namespace
}  // namespace sondeline::grade
