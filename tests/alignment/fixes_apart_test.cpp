#include "alignment/fixes_apart.hpp"

#include <algorithm>
#include <vector>

#include <gtest/gtest.h>

#include "small_sites.hpp"

namespace sondeline::alignment {
namespace {

using made::deg;
using made::Legs;
using made::says;
using made::SmallSite;

// A house, a tank and a box, all surveyed, with a sewer, an effluent line and two laterals; every
// fix is off by one vector.
SmallSite site_with_fixes_off_by(double e_m, double n_m) {
    const Legs sewer({0.0, 0.0}, {{0.0, 110.0 * deg}});
    const Legs line(sewer.at(9.0), {{0.0, 95.0 * deg}});
    SmallSite job;
    const int house = job.structure("house", StructureKind::building, sewer.at(0.0));
    const int tank = job.structure("tank", StructureKind::tank, sewer.at(9.0));
    const int box = job.structure("box", StructureKind::distribution_box, line.at(15.0));
    job.run("BS", house, tank, 9.0);
    job.run("EL", tank, box, 15.0);
    job.run("L1", box, std::nullopt, 14.0);
    job.run("L2", box, std::nullopt, 14.0);
    job.fixes_along(0, sewer, {1.5, 4.0, 6.5, 8.5}, 0.05);
    job.fixes_along(1, line, {1.5, 4.0, 6.5, 9.0, 11.5, 14.0}, 0.05);
    job.fixes_along(2, Legs(line.at(15.0), {{0.0, 60.0 * deg}}), {2.0, 5.0, 8.0, 11.0, 13.5}, 0.05);
    job.fixes_along(3, Legs(line.at(15.0), {{0.0, 150.0 * deg}}), {2.0, 5.0, 8.0, 11.0, 13.5},
                    0.05);
    for (SiteFix& fix : job.site.fixes) {
        fix.position->at.e_m += e_m;
        fix.position->at.n_m += n_m;
    }
    return job;
}

// Before, the lengths of the first two were off and every pipe lay 0.5 m beside where it is.
TEST(FixesApart, AreToldByTheVectorThatBringsThemToTheStructures) {
    const Lines lines = align_site(site_with_fixes_off_by(0.4, 0.3).site);
    EXPECT_TRUE(says(lines.findings, "All fixes lie 1.6 ft (give or take 0."));
    EXPECT_TRUE(says(lines.findings, "towards 53° of grid north"));
    for (const auto& [run, length_m] : {std::pair(0, 9.0), std::pair(1, 15.0)}) {
        ASSERT_TRUE(lines.runs[run].length_m);
        EXPECT_LT(lines.runs[run].length_m->lo95, length_m);
        EXPECT_GT(lines.runs[run].length_m->hi95, length_m);
    }
    EXPECT_LT(made::apart_m(lines.runs[2].points.front().at, {23.4, -4.4}), 0.25);
    EXPECT_FALSE(says(lines.findings, "the counter showed"));
}

// Whether fixes or structures lie where they are nobody knows.
TEST(FixesApart, LeaveTheWholeMapUnsureByAsMuch) {
    const Lines apart = align_site(site_with_fixes_off_by(0.4, 0.3).site);
    const Lines right = align_site(site_with_fixes_off_by(0.0, 0.0).site);
    const double more_m2 = apart.runs[1].points[5].cov.ee - right.runs[1].points[5].cov.ee;
    EXPECT_NEAR(std::sqrt(more_m2) * 2.448, 0.5, 0.05);  // 95 %: chi-square, 2 degrees of freedom
    EXPECT_FALSE(says(apart.findings, "counts from no known point"));
}

TEST(FixesApart, AreNoneWhereTheyFitTheStructuresOrOneStructureAloneIsOff) {
    SmallSite one = site_with_fixes_off_by(0.0, 0.0);
    one.site.structures[2].surveyed->at.e_m += 0.6;
    for (const SmallSite& job : {site_with_fixes_off_by(0.0, 0.0), one}) {
        EXPECT_FALSE(says(align_site(job.site).findings, "All fixes lie"));
    }
}

}  // namespace
}  // namespace sondeline::alignment
