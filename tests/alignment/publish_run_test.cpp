#include "alignment/publish_run.hpp"

#include <algorithm>

#include <gtest/gtest.h>

#include "small_sites.hpp"

namespace sondeline::alignment {
namespace {

RunModel bent_model() {
    RunModel model = straight_run(10.0, 3.0, 0.01, 0.0);
    model.bends = {{.x_m = 7.3, .angle_rad = 0.5, .slip_m = -0.02},
                   {.x_m = 4.1, .angle_rad = 0.5, .slip_m = 0.05}};
    return model;
}

TEST(DrawnStations, HoldStartEveryBendAndEndAndAreHalfAMetreApartAtMost) {
    const auto stations = drawn_stations(bent_model(), 10.0, 1.01);
    EXPECT_EQ(stations.front().x_m, 0.0);
    EXPECT_EQ(stations.back().x_m, 10.0);
    for (const double bend : {4.1, 7.3}) {
        EXPECT_TRUE(std::any_of(stations.begin(), stations.end(),
                                [&](const DrawnStation& at) { return at.x_m == bend; }));
    }
    for (std::size_t i = 1; i < stations.size(); ++i) {
        EXPECT_GE(stations[i].x_m, stations[i - 1].x_m);
        EXPECT_GE(stations[i].station_m, stations[i - 1].station_m);
        EXPECT_LE(stations[i].station_m - stations[i - 1].station_m, 0.5 + 1e-9);
    }
}

TEST(DrawnStations, CountTheWayOfThePipeNotOfTheCable) {
    const auto stations = drawn_stations(bent_model(), 10.0, 1.01);
    EXPECT_NEAR(stations.back().station_m, 1.01 * (10.0 - 0.05 + 0.02), 1e-9);
    EXPECT_NEAR(stations.back().station_m, pipe_length_m(bent_model(), std::log(1.01), 10.0), 1e-9);
}

// Angles of cast-iron bends: 1/16, 1/8, 1/6, 1/5 and 1/4 of a circle (ASTM A74).
TEST(NearestFitting, IsNamedOnlyWhenItStandsAlone) {
    EXPECT_EQ(nearest_fitting({44.0 * degree, 2.0 * degree}), "a 45° fitting");
    EXPECT_EQ(nearest_fitting({-91.0 * degree, 2.0 * degree}), "a 90° fitting");
    EXPECT_EQ(nearest_fitting({52.0 * degree, 5.0 * degree}), "");  // 45 or 60
    EXPECT_EQ(nearest_fitting({33.0 * degree, 3.0 * degree}), "");  // none
    EXPECT_EQ(nearest_fitting({22.5 * degree, 1.0 * degree}), "a 22.5° fitting");
}

SiteRun measured_run(double length_m) {
    SiteRun run;
    run.id = {"L1"};
    run.counter_length_m = figure(length_m);
    run.tick_m = 0.1;
    return run;
}

TEST(PublishedLengthOnly, IsTheCounterTimesTheReelsScaleWithItsDoubt) {
    const AlignedRun run =
        published_length_only(measured_run(20.0), {std::log(1.01), 0.005 * 0.005});
    ASSERT_TRUE(run.length_m);
    EXPECT_NEAR(run.length_m->value, 20.2, 1e-9);
    // The reel's own spread, and that of one run on it.
    const double sd = 20.2 * std::hypot(0.005, own_scale_sd);
    EXPECT_NEAR(run.length_m->hi95 - run.length_m->value,
                normal_95 * std::sqrt(sd * sd + 0.1 * 0.1 / 12.0), 0.002);
    EXPECT_TRUE(run.points.empty());
    EXPECT_EQ(run.placement, Placement::unplaced);
}

TEST(PublishedLengthOnly, WithholdsWhatTheCounterDoesNotSay) {
    SiteRun run;
    run.id = {"L1"};
    run.counter_length_m = withheld<double>("no footage", "Film it.");
    EXPECT_FALSE(published_length_only(run, {}).length_m);
}

TEST(DrawInferred, GoesStraightBetweenTheEndsAndClaimsNoBounds) {
    Site site;
    site.job_unit = LengthUnit::metre;
    AlignedRun run = published_length_only(measured_run(5.2), {0.0, 0.015 * 0.015});
    draw_inferred(run, {{0.0, 0.0}, {3.0, 4.0}}, site);
    EXPECT_EQ(run.placement, Placement::inferred);
    EXPECT_EQ(run.covariance.size(), 0);
    EXPECT_NEAR(run.plan_length_m, 5.0, 1e-12);
    EXPECT_NEAR(run.points.back().at.e_m, 3.0, 1e-12);
    EXPECT_NEAR(run.points.back().at.n_m, 4.0, 1e-12);
    EXPECT_NEAR(run.points.back().station_m, 5.2, 1e-9);
    EXPECT_NEAR(run.points[1].heading_rad, std::atan2(3.0, 4.0), 1e-12);
}

// Plan lengths count ground metres: on a map whose scale is 1.002 the line on the map is longer.
TEST(DrawInferred, TakesTheMapsScaleOffThePlanLength) {
    Site site;
    site.frame.scale_factor = 1.002;
    AlignedRun run = published_length_only(measured_run(5.2), {0.0, 0.015 * 0.015});
    draw_inferred(run, {{0.0, 0.0}, {0.0, 5.01}}, site);
    EXPECT_NEAR(run.plan_length_m, 5.0, 1e-9);
}

}  // namespace
}  // namespace sondeline::alignment
