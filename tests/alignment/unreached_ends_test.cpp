#include "alignment/unreached_ends.hpp"

#include <algorithm>

#include <gtest/gtest.h>

#include "small_sites.hpp"

namespace sondeline::alignment {
namespace {

using made::deg;
using made::Legs;
using made::says;
using made::SmallSite;

// A pipe of 17 m from the tank to the box, pushed and located only to `pushed_m`, and a lateral.
SmallSite pushed_to(double pushed_m, std::size_t fixes = 5) {
    SmallSite job;
    const int tank = job.structure("tank", StructureKind::tank, PlanPoint{0.0, 0.0});
    const int box = job.structure("box", StructureKind::distribution_box, PlanPoint{0.0, 17.0});
    job.run("EL", tank, box, pushed_m);
    job.run("L1", box, std::nullopt, 15.0);
    const Legs pipe({0.0, 0.0}, {{0.0, 0.0}});
    for (std::size_t i = 0; i < fixes; ++i) {
        const double x = pushed_m * (static_cast<double>(i) + 0.5) / static_cast<double>(fixes);
        job.fix(0, x, pipe.at(x), 0.05);
    }
    job.fixes_along(1, Legs({0.0, 17.0}, {{0.0, 40.0 * deg}}), {2.0, 6.0, 10.0, 14.0}, 0.05);
    VerticalObservation tape;
    tape.kind = VerticalKind::taped_end;
    tape.x_m = pushed_m;
    tape.depth_m = {0.7, 0.005};
    job.site.runs[0].vertical.push_back(tape);
    return job;
}

bool has_tape(const AlignedRun& run) {
    return std::ranges::any_of(run.vertical, [](const StationedVertical& seen) {
        return seen.row.kind == VerticalKind::taped_end;
    });
}

TEST(UnreachedEnds, AreHeldByTheirStructureWhereTheRunGetsThere) {
    const Lines lines = align_site(pushed_to(17.0).site);
    EXPECT_FALSE(lines.runs[0].stops_short);
    EXPECT_TRUE(has_tape(lines.runs[0]));
    EXPECT_FALSE(says(lines.findings, "does not reach"));
}

// A clip is missing, or the push was given up: nothing else gives.
TEST(UnreachedEnds, LeaveTheFixesTheCountersAndTheStructureAsTheyAre) {
    for (const double pushed_m : {5.0, 10.0, 14.0}) {
        const Lines lines = align_site(pushed_to(pushed_m).site);
        EXPECT_TRUE(lines.runs[0].stops_short) << pushed_m;
        EXPECT_TRUE(says(lines.findings, "it does not reach box")) << pushed_m;
        EXPECT_EQ(std::ranges::count(lines.fixes, FixUse::rejected, &FixResult::use), 0);
        ASSERT_TRUE(lines.runs[0].length_m && lines.runs[1].length_m);
        EXPECT_NEAR(lines.runs[0].length_m->value, pushed_m, 0.1);
        EXPECT_NEAR(lines.runs[1].length_m->value, 15.0, 0.15);
        ASSERT_TRUE(lines.structures[1].plan);
        EXPECT_LT(made::apart_m(lines.structures[1].plan->at, {0.0, 17.0}), 0.1);
    }
}

// The tape was read in the box, 7 m beyond the last picture.
TEST(UnreachedEnds, TakeNoTapeOfTheStructure) {
    const Lines lines = align_site(pushed_to(10.0).site);
    EXPECT_FALSE(has_tape(lines.runs[0]));
    EXPECT_TRUE(says(lines.findings, "and the tape there was not used"));
}

// One fix and a structure contradict each other: either may be wrong.
TEST(UnreachedEnds, AreNotToldByOneFix) {
    const Lines lines = align_site(pushed_to(10.0, 1).site);
    EXPECT_FALSE(says(lines.findings, "does not reach"));
}

// The last two fixes were taken on the way back, with the counter of the way there: one bend of
// 180° at 17 m would explain them.
TEST(UnreachedEnds, AreNotReachedByAHairpin) {
    SmallSite job;
    const int tank = job.structure("tank", StructureKind::tank, PlanPoint{0.0, 0.0});
    job.run("L1", tank, std::nullopt, 21.0);
    const Legs pipe({0.0, 0.0}, {{0.0, 30.0 * deg}});
    job.fixes_along(0, pipe, {2.0, 5.0, 8.0, 11.0, 14.0, 16.5}, 0.05);
    job.fix(0, 19.0, pipe.at(15.0), 0.05);
    job.fix(0, 20.5, pipe.at(13.5), 0.05);
    const Lines lines = align_site(job.site);
    for (const Bend& bend : lines.runs[0].bends) {
        EXPECT_LT(std::abs(bend.angle_rad.value), 120.0 * deg);
    }
}

}  // namespace
}  // namespace sondeline::alignment
