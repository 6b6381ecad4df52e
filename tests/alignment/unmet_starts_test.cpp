#include "alignment/unmet_starts.hpp"

#include <algorithm>

#include <gtest/gtest.h>

#include "small_sites.hpp"

namespace sondeline::alignment {
namespace {

using made::deg;
using made::Legs;
using made::says;
using made::SmallSite;

enum Places { inlet, outlet, box };

// A tank whose outlet lies 2.5 m from its inlet, a sewer to the one and 17 m of pipe from the other
// to the box, said to start at `from`. A lateral leaves the box; the counter at its start is
// written down `late_m` too great.
SmallSite effluent_line_from(int from, double late_m = 0.0) {
    SmallSite job;
    job.structure("inlet", StructureKind::tank, PlanPoint{0.0, -2.5});
    job.structure("outlet", StructureKind::tank, PlanPoint{0.0, 0.0});
    job.structure("box", StructureKind::distribution_box, PlanPoint{0.0, 17.0});
    const int house = job.structure("house", StructureKind::building, PlanPoint{-9.0, -2.5});
    job.run("EL", from, box, 17.0);
    job.run("BS", house, inlet, 9.0);
    job.run("L1", box, std::nullopt, 15.0 - late_m);
    const Legs pipe({0.0, 0.0}, {{0.0, 0.0}});
    for (const double x : {1.5, 5.0, 8.5, 12.0, 15.5}) {
        job.fix(0, x, pipe.at(x), 0.05);
        job.heading(0.0);
    }
    job.fixes_along(1, Legs({-9.0, -2.5}, {{0.0, 90.0 * deg}}), {1.5, 4.0, 7.0}, 0.05);
    const Legs lateral({0.0, 17.0}, {{0.0, 40.0 * deg}});
    for (const double x : {2.0, 6.0, 10.0, 14.0}) job.fix(2, x - late_m, lateral.at(x), 0.05);
    VerticalObservation tape;
    tape.kind = VerticalKind::taped_start;
    tape.depth_m = {0.7, 0.005};
    job.site.runs[0].vertical.push_back(tape);
    return job;
}

bool has_tape(const AlignedRun& run) {
    return std::ranges::any_of(run.vertical, [](const StationedVertical& seen) {
        return seen.row.kind == VerticalKind::taped_start;
    });
}

TEST(UnmetStarts, AreNoneWhereTheRunStartsAtItsStructure) {
    const Lines lines = align_site(effluent_line_from(outlet).site);
    EXPECT_EQ(lines.runs[0].run.from, outlet);
    EXPECT_TRUE(has_tape(lines.runs[0]));
    EXPECT_FALSE(says(lines.findings, "The start of this run"));
}

TEST(UnmetStarts, NameTheStructureWhereTheFixesStart) {
    const Lines lines = align_site(effluent_line_from(inlet).site);
    EXPECT_TRUE(says(lines.findings, "By its fixes it starts at outlet."));
    EXPECT_TRUE(says(lines.findings, "write outlet under from"));
}

// Neither the height nor the tape of the wrong structure may decide the grade.
TEST(UnmetStarts, TakeNothingFromTheStructureThatWasNamed) {
    const Lines lines = align_site(effluent_line_from(inlet).site);
    EXPECT_FALSE(lines.runs[0].run.from);
    EXPECT_FALSE(has_tape(lines.runs[0]));
    EXPECT_TRUE(says(lines.findings, "and the tape there was not used"));
}

TEST(UnmetStarts, LeaveTheFixesTheCounterAndTheOtherRunsAsTheyAre) {
    const Lines lines = align_site(effluent_line_from(inlet).site);
    EXPECT_EQ(std::ranges::count(lines.fixes, FixUse::rejected, &FixResult::use), 0);
    EXPECT_EQ(lines.runs[0].placement, Placement::placed);
    ASSERT_TRUE(lines.runs[0].length_m && lines.runs[1].length_m && lines.runs[2].length_m);
    EXPECT_NEAR(lines.runs[0].length_m->value, 17.0, 0.15);
    EXPECT_NEAR(lines.runs[1].length_m->value, 9.0, 0.15);
    EXPECT_NEAR(lines.runs[2].length_m->value, 15.0, 0.15);
    EXPECT_LT(made::apart_m(lines.runs[0].points.front().at, {0.0, 0.0}), 0.2);
}

// Its own place, or other runs that meet it, say where the structure is that the run misses.
TEST(UnmetStarts, AreToldOfAStructureThatIsHeldByItsPlaceOrByOtherRuns) {
    SmallSite by_place = effluent_line_from(inlet);
    by_place.site.runs[1].to.reset();
    EXPECT_TRUE(says(align_site(by_place.site).findings, "By its fixes it starts at outlet."));
    SmallSite by_run = effluent_line_from(inlet);
    by_run.site.structures[inlet].surveyed.reset();
    const int shed = by_run.structure("shed", StructureKind::building, PlanPoint{0.0, -9.5});
    by_run.run("BS2", shed, inlet, 7.0);
    by_run.fixes_along(3, Legs({0.0, -9.5}, {{0.0, 0.0}}), {1.0, 3.0, 5.0, 6.5}, 0.05);
    EXPECT_TRUE(says(align_site(by_run.site).findings, "By its fixes it starts at outlet."));
}

TEST(UnmetStarts, LeaveTheLengthAsSureWhereTheFixesShowTheStructure) {
    const Lines named = align_site(effluent_line_from(inlet).site);
    const Lines right = align_site(effluent_line_from(outlet).site);
    ASSERT_TRUE(named.runs[0].length_m && right.runs[0].length_m);
    EXPECT_LT(named.runs[0].length_m->hi95 - named.runs[0].length_m->lo95,
              right.runs[0].length_m->hi95 - right.runs[0].length_m->lo95 + 0.3);
}

TEST(UnmetStarts, NameNoMarkAndNoneOfTwoStructuresThatFit) {
    SmallSite mark = effluent_line_from(inlet);
    mark.site.structures[outlet].kind = StructureKind::reference;
    SmallSite two = effluent_line_from(inlet);
    two.structure("lid", StructureKind::tank, PlanPoint{0.04, 0.0});
    for (const SmallSite& job : {mark, two}) {
        const Lines lines = align_site(job.site);
        EXPECT_TRUE(says(lines.findings, "The start of this run"));
        EXPECT_FALSE(says(lines.findings, "By its fixes it starts at"));
    }
}

TEST(UnmetStarts, NameNoStructureNearWhereTheFixesStartThatDoesNotFit) {
    SmallSite job = effluent_line_from(inlet);
    job.site.structures[outlet].surveyed->at = {1.5, 0.0};
    const Lines lines = align_site(job.site);
    EXPECT_TRUE(says(lines.findings, "The start of this run"));
    EXPECT_FALSE(says(lines.findings, "By its fixes it starts at"));
}

}  // namespace
}  // namespace sondeline::alignment
