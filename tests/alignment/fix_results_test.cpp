#include "alignment/fix_results.hpp"

#include <gtest/gtest.h>

#include "small_sites.hpp"

namespace sondeline::made {
namespace {

// Northward, so that right of the push is east.
SmallSite northward(std::size_t wrong, double east_m, double north_m) {
    SmallSite job;
    job.site.job_unit = LengthUnit::metre;
    const int tank = job.structure("tank", StructureKind::tank, PlanPoint{0.0, 0.0});
    job.run("L1", tank, std::nullopt, 17.0);
    job.fixes_along(0, Legs({0.0, 0.0}, {{0.0, 0.0}}), {1.0, 4.0, 7.0, 10.0, 13.0, 16.0});
    job.site.fixes[wrong].position->at.e_m += east_m;
    job.site.fixes[wrong].position->at.n_m += north_m;
    return job;
}

TEST(FixResults, CountAcrossToTheRightAndAlongForwardOfThePush) {
    const Lines lines = align_site(northward(2, 1.5, 0.8).site);
    const FixResult& wrong = lines.fixes[2];
    EXPECT_EQ(wrong.use, FixUse::rejected);
    EXPECT_NEAR(*wrong.across_m, 1.5, 0.02);
    EXPECT_NEAR(*wrong.along_m, 0.8, 0.02);
    EXPECT_GT(wrong.outlier_probability, 0.99);
    EXPECT_LT(wrong.weight, 0.05);
    EXPECT_EQ(wrong.why.find("It lies 1.50 m right and 0.80 m ahead of"), 0U) << wrong.why;
}

TEST(FixResults, GiveGoodFixesFullWeight) {
    const Lines lines = align_site(northward(2, 1.5, 0.8).site);
    for (const std::size_t i : {0U, 1U, 3U, 4U, 5U}) {
        EXPECT_EQ(lines.fixes[i].use, FixUse::used) << i;
        EXPECT_GT(lines.fixes[i].weight, 0.9) << i;
        EXPECT_NEAR(lines.fixes[i].station_m, 1.0 + 3.0 * static_cast<double>(i), 0.05) << i;
    }
}

TEST(FixResults, GoTheShortWayRoundForHeadings) {
    SmallSite job = northward(2, 0.0, 0.0);
    job.fix(0, 8.0, std::nullopt);
    job.heading(177.0 * deg);  // of a pipe that runs due north: 3° to the left
    const Lines lines = align_site(job.site);
    const FixResult& heading = lines.fixes.back();
    EXPECT_FALSE(heading.across_m.has_value());
    ASSERT_TRUE(heading.heading_rad.has_value());
    EXPECT_NEAR(*heading.heading_rad, -3.0 * deg, 0.01);
    EXPECT_FALSE(heading.heading_rejected);
}

TEST(WhereItLies, SaysBothWaysThatMatterInTheUnitOfTheJob) {
    FixResult result;
    result.across_m = -1.8;
    result.along_m = 0.3;
    EXPECT_EQ(alignment::where_it_lies(result, LengthUnit::metre),
              "1.80 m left and 0.30 m ahead of");
    result.along_m = 0.01;
    EXPECT_EQ(alignment::where_it_lies(result, LengthUnit::metre), "1.80 m left of");
    result.across_m = 0.0;
    result.along_m = -0.6096;
    EXPECT_EQ(alignment::where_it_lies(result, LengthUnit::foot), "2.0 ft behind");
}

}  // namespace
}  // namespace sondeline::made
