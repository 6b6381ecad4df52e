#include "alignment/placement.hpp"

#include <gtest/gtest.h>

#include "small_sites.hpp"

namespace sondeline::made {
namespace {

using alignment::long_axis_m;

// Eigenvalues of a 2×2 matrix in closed form: those of [[3, 1], [1, 1]] are 2 ± √2.
TEST(LongAxis, IsTheRootOfTheLargerEigenvalue) {
    Eigen::Matrix2d c;
    c << 3.0, 1.0, 1.0, 1.0;
    EXPECT_NEAR(long_axis_m(c), std::sqrt(2.0 + std::sqrt(2.0)), 1e-12);
    EXPECT_NEAR(long_axis_m(0.25 * Eigen::Matrix2d::Identity()), 0.5, 1e-12);
}

SmallSite straight_from_tank(std::optional<PlanPoint> tank_at) {
    SmallSite job;
    const int tank = job.structure("tank", StructureKind::tank, tank_at);
    job.run("L1", tank, std::nullopt, 14.0);
    job.fixes_along(0, Legs({0.0, 0.0}, {{0.0, 0.4}}), {1.0, 4.0, 7.0, 10.0, 13.0});
    return job;
}

TEST(Placement, RestsOnFixesAloneWhereNoStructureIsKnown) {
    EXPECT_EQ(align_site(straight_from_tank(PlanPoint{0.0, 0.0}).site).runs[0].placement,
              Placement::placed);
    EXPECT_EQ(align_site(straight_from_tank(std::nullopt).site).runs[0].placement,
              Placement::direction_from_fixes);
}

TEST(Placement, IsKnownByAStartHeadingAsWell) {
    SmallSite job = straight_from_tank(std::nullopt);
    job.site.runs[0].start_heading = DirectedHeading{0.4};
    job.site.runs[0].start_heading_sd_rad = 5.0 * deg;
    EXPECT_EQ(align_site(job.site).runs[0].placement, Placement::placed);
}

TEST(Placement, IsWithheldWhereTooManyFixesContradictEachOther) {
    SmallSite job = straight_from_tank(PlanPoint{0.0, 0.0});
    job.site.fixes[1].position->at.e_m += 9.0;
    job.site.fixes[2].position->at.e_m -= 7.0;
    job.site.fixes[3].position->at.n_m += 11.0;
    const Lines lines = align_site(job.site);
    EXPECT_TRUE(lines.runs[0].points.empty());
    EXPECT_FALSE(lines.runs[0].why_not_placed.what_to_do.empty());
}

TEST(Placement, PassesFromARunToTheNextOne) {
    SmallSite job;
    const Legs sewer({0.0, 0.0}, {{0.0, 0.4}});
    const int tank = job.structure("tank", StructureKind::tank, PlanPoint{0.0, 0.0});
    const int box = job.structure("box", StructureKind::junction, std::nullopt);
    job.run("lateral", box, std::nullopt, 8.0);
    job.run("sewer", tank, box, 14.0);
    job.fixes_along(1, sewer, {1.0, 4.0, 7.0, 10.0, 13.0});
    // A single fix: only with its start known does the lateral have a direction.
    job.fixes_along(0, Legs(sewer.at(14.0), {{0.0, 1.6}}), {7.5});
    const Lines lines = align_site(job.site);
    EXPECT_EQ(lines.runs[0].placement, Placement::placed);
    EXPECT_TRUE(lines.structures[static_cast<std::size_t>(box)].plan.has_value());
}

}  // namespace
}  // namespace sondeline::made
