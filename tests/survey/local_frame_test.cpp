#include "survey/local_frame.hpp"

#include <gtest/gtest.h>

#include "survey/map_projection.hpp"
#include "survey/one_run_job.hpp"

namespace sondeline {
namespace {

using namespace made;

TEST(LocalFrame, ReadsPositionsInDegreesIntoTheirUtmZone) {
    Job job = one_run_job();
    job.structures[0].position = TypedPosition{true, -92.9996, 40.0003, {}};
    const Site site = survey_site(job, {{RunId{"L1"}, pushed_track(0.0, 60.0)}});
    EXPECT_EQ(site.frame.crs, "EPSG:32615");
    const auto utm = MapProjection::open(site.frame.crs);
    ASSERT_TRUE(utm.has_value());
    const auto back =
        utm->wgs84_from_map(map_from_local(site.frame, site.structures[0].surveyed->at));
    ASSERT_TRUE(back.has_value());
    EXPECT_NEAR(back->lon_deg, -92.9996, 1e-9);
    EXPECT_NEAR(back->lat_deg, 40.0003, 1e-9);
}

TEST(LocalFrame, FallsBackWithAFindingWhenTheCoordinateSystemIsUnknown) {
    Job job = one_run_job();
    job.settings.crs = "EPSG:999999";
    const Site site = survey_site(job, {{RunId{"L1"}, pushed_track(0.0, 60.0)}});
    EXPECT_EQ(site.frame.crs, "local");
    EXPECT_EQ(site.findings[0].severity, Severity::problem);
}

TEST(LocalFrame, RefusesPlanePositionsWithoutASystemBesideDegrees) {
    Job job = one_run_job();
    job.fixes = {fix_at(20.0, -92.9996, 40.0003)};
    job.fixes[0].position->geographic = true;
    const Site site = survey_site(job, {{RunId{"L1"}, pushed_track(0.0, 60.0)}});
    EXPECT_FALSE(site.structures[0].surveyed.has_value());
    EXPECT_TRUE(site.fixes[0].position.has_value());
}

// Elevation factor R/(R + h), R = 6 372 000 m (NOAA Manual NOS NGS 5; from memory): 0.999749 at
// 1600 m, 2.5 cm in 100 m.
TEST(LocalFrame, BringsGroundLengthsDownToTheMapFromTheHeightOfTheSite) {
    Job job = one_run_job();
    job.settings.crs = "EPSG:32613";
    job.structures[0].position = TypedPosition{true, -105.0, 39.7, {}};
    const double sea = survey_site(job, {}).frame.scale_factor;
    EXPECT_NEAR(sea, 0.9996, 1e-5);  // on the central meridian of a UTM zone
    job.structures[0].ground_m = cell(1600.0);
    EXPECT_DOUBLE_EQ(survey_site(job, {}).frame.scale_factor, sea);  // above a local benchmark
    job.settings.vertical_datum = "EPSG:5703";
    EXPECT_NEAR(survey_site(job, {}).frame.scale_factor / sea, 0.999749, 1e-6);
}

// 92.1° west is 11.1° from the middle of zone 17: k = 0.9996·(1 + λ²cos²φ/2) = 1.0102 (Snyder, Map
// Projections: A Working Manual, USGS PP 1395, transverse Mercator, leading term, from memory).
TEST(LocalFrame, SaysWhatAMapInTheZoneOfAnotherPlaceDoesToDistances) {
    Job job = one_run_job();
    job.structures[0].position = TypedPosition{true, -92.1, 41.2, {}};
    const auto told = [&](const char* crs) {
        job.settings.crs = crs;
        return told_of(survey_site(job, {{RunId{"L1"}, pushed_track(0.0, 60.0)}}),
                       "not meant for this place");
    };
    EXPECT_NE(told("EPSG:32617").find("1.0 % longer"), std::string::npos) << told("EPSG:32617");
    EXPECT_NE(told("EPSG:3857").find("% longer"), std::string::npos);
    EXPECT_EQ(told("EPSG:32615"), "");
    EXPECT_EQ(told("EPSG:3418"), "");  // Iowa South, US survey feet
}

}  // namespace
}  // namespace sondeline
