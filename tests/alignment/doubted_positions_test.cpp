#include "alignment/doubted_positions.hpp"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "small_sites.hpp"

namespace sondeline::alignment {
namespace {

// Tank and box 17 m apart, two laterals beyond the box, two corners of a house to tape from.
struct Yard {
    made::SmallSite job;
    int corner_a = 0;
    int corner_b = 0;
    int box = 0;
};

constexpr PlanPoint box_at{0.0, 17.0};

Yard yard(const PlanPoint& box_given) {
    Yard made;
    made.corner_a = made.job.structure("corner A", StructureKind::reference, PlanPoint{10.0, 0.0});
    made.corner_b = made.job.structure("corner B", StructureKind::reference, PlanPoint{10.0, 9.0});
    const int tank = made.job.structure("tank", StructureKind::tank, PlanPoint{0.0, 0.0});
    made.box = made.job.structure("box", StructureKind::distribution_box, box_given);
    made.job.run("EL", tank, made.box, 17.0);
    made.job.run("L1", made.box, std::nullopt, 15.0);
    made.job.run("L2", made.box, std::nullopt, 15.0);
    made.job.fixes_along(0, made::Legs({0.0, 0.0}, {{0.0, 0.0}}), {2.0, 5.0, 8.0, 11.0, 14.0});
    made.job.fixes_along(1, made::Legs(box_at, {{0.0, 40.0 * made::deg}}), {2.0, 6.0, 10.0, 14.0});
    made.job.fixes_along(2, made::Legs(box_at, {{0.0, -40.0 * made::deg}}), {2.0, 6.0, 10.0, 14.0});
    return made;
}

void tape(Yard& made, double distance_a_m, double distance_b_m) {
    made.job.site.structures[made.box].how_fixed = "swing ties from corner A, corner B";
    made.job.site.ties = {{made.box, made.corner_a, {distance_a_m, 0.03}, "tie to A"},
                          {made.box, made.corner_b, {distance_b_m, 0.03}, "tie to B"}};
}

int rejected(const Lines& lines) {
    return static_cast<int>(std::ranges::count(lines.fixes, FixUse::rejected, &FixResult::use));
}

const Finding* about_the_box(const Lines& lines) {
    const auto found = std::ranges::find_if(
        lines.findings, [](const Finding& finding) { return finding.where.structure == "box"; });
    return found == lines.findings.end() ? nullptr : &*found;
}

TEST(DoubtedPositions, OfATapeTenFeetWrongAreToldOnceAndNoFixIsBlamed) {
    // From corner A 19.72 m and from corner B 12.81 m; ten feet less from A put it elsewhere.
    const double a_m = std::hypot(10.0, 17.0) - 3.048;
    const double b_m = std::hypot(10.0, 8.0);
    // Two circles: x = (ℓ² + a² − b²)/2ℓ along A→B, which is north, and h = √(a² − x²) to the west.
    const double along_m = (81.0 + a_m * a_m - b_m * b_m) / 18.0;
    const double west_m = std::sqrt(a_m * a_m - along_m * along_m);
    Yard made = yard({10.0 - west_m, along_m});
    tape(made, a_m, b_m);
    const Lines lines = align_site(made.job.site);
    EXPECT_EQ(rejected(lines), 0);
    const Finding* told = about_the_box(lines);
    ASSERT_NE(told, nullptr);
    EXPECT_NE(told->what.find("64.7 ft from corner A, where 54.7 ft was taped"), std::string::npos)
        << told->what;
    EXPECT_EQ(told->what.find("from corner B"), std::string::npos) << told->what;
    ASSERT_TRUE(lines.structures[made.box].plan);
    EXPECT_LT(made::apart_m(lines.structures[made.box].plan->at, box_at), 0.3);
    for (const AlignedRun& run : lines.runs) EXPECT_EQ(run.placement, Placement::placed);
}

TEST(DoubtedPositions, OnTheWrongSideOfTheMarksNameTheSide) {
    Yard made = yard({20.0, 17.0});
    tape(made, std::hypot(10.0, 17.0), std::hypot(10.0, 8.0));
    const Lines lines = align_site(made.job.site);
    const Finding* told = about_the_box(lines);
    ASSERT_NE(told, nullptr);
    EXPECT_NE(told->what.find("fit on the other side of the line from corner A to corner B"),
              std::string::npos)
        << told->what;
    EXPECT_EQ(rejected(lines), 0);
}

TEST(DoubtedPositions, OfASurveyAreToldWithoutTapes) {
    Yard made = yard({1.6, 17.0});
    const Lines lines = align_site(made.job.site);
    const Finding* told = about_the_box(lines);
    ASSERT_NE(told, nullptr);
    EXPECT_NE(told->what.find("The survey puts this structure"), std::string::npos) << told->what;
    EXPECT_LT(made::apart_m(lines.structures[made.box].plan->at, box_at), 0.3);
}

TEST(DoubtedPositions, StandWhereTheRunsAgreeWithThem) {
    const Lines lines = align_site(yard(box_at).job.site);
    EXPECT_EQ(about_the_box(lines), nullptr);
    EXPECT_EQ(rejected(lines), 0);
}

// Four of five fixes of one run taken elsewhere: the fixes are wrong and the box stands.
TEST(DoubtedPositions, StandWhereTheFixesOfOneRunAreWrong) {
    Yard made = yard(box_at);
    for (SiteFix& fix : made.job.site.fixes) {
        if (fix.run == 1) fix.position->at.e_m += 3.0;
    }
    const Lines lines = align_site(made.job.site);
    ASSERT_TRUE(lines.structures[made.box].plan);
    EXPECT_LT(made::apart_m(lines.structures[made.box].plan->at, box_at), 0.1);
    EXPECT_EQ(about_the_box(lines), nullptr);
}

// The run may not have got there, or meets another structure: that is told of the run.
TEST(DoubtedPositions, StandAtTheEndOfASingleRun) {
    Yard made = yard(box_at);
    made.job.site.runs.resize(1);
    std::erase_if(made.job.site.fixes, [](const SiteFix& fix) { return fix.run > 0; });
    made.job.site.structures[made.box].surveyed->at.n_m += 3.0;
    const Lines lines = align_site(made.job.site);
    EXPECT_EQ(rejected(lines), 0);
    EXPECT_EQ(about_the_box(lines), nullptr);
    ASSERT_TRUE(lines.structures[made.box].plan);
    EXPECT_LT(made::apart_m(lines.structures[made.box].plan->at, {0.0, 20.0}), 0.05);
    EXPECT_TRUE(made::says(lines.findings, "it does not reach box"));
}

}  // namespace
}  // namespace sondeline::alignment
