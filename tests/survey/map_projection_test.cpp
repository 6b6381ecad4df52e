#include "survey/map_projection.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>
#include <proj.h>

namespace sondeline {
namespace {

constexpr double degrees_per_rad = 180.0 / std::numbers::pi;

// Datum shifts are none of these checks' business: the examples name the ellipsoid, so the strings
// here do too, with a null shift to WGS 84 coordinates.
double dms(double d, double m, double s) {
    return d + m / 60.0 + s / 3600.0;
}

// IOGP Geomatics Guidance Note 7-2, method 9807 (transverse Mercator), British National Grid.
// Through the inverse and back, so that the ellipsoid's own latitude goes in.
TEST(MapProjection, GivesTheTransverseMercatorExampleOfTheGuidanceNote) {
    const auto grid = MapProjection::open(
        "+proj=tmerc +lat_0=49 +lon_0=-2 +k=0.9996013 +x_0=400000 +y_0=-100000 "
        "+a=6377563.396 +rf=299.32496 +units=m +type=crs");
    ASSERT_TRUE(grid.has_value());
    EXPECT_DOUBLE_EQ(grid->metres_per_unit(), 1.0);
    const auto map = grid->map_from_wgs84({0.5, 50.5});
    ASSERT_TRUE(map.has_value());
    EXPECT_NEAR(map->x, 577274.99, 0.01);
    EXPECT_NEAR(map->y, 69740.50, 0.01);
}

// The same note, method 9802 (Lambert conic conformal, two parallels): NAD27 Texas South Central,
// in US survey feet.
TEST(MapProjection, GivesTheLambertExampleOfTheGuidanceNoteInSurveyFeet) {
    const auto grid = MapProjection::open(
        "+proj=lcc +lat_1=28.3833333333333 +lat_2=30.2833333333333 +lat_0=27.8333333333333 "
        "+lon_0=-99 +x_0=609601.219202438 +y_0=0 +ellps=clrk66 +units=us-ft +type=crs");
    ASSERT_TRUE(grid.has_value());
    EXPECT_NEAR(grid->metres_per_unit(), 1200.0 / 3937.0, 1e-12);
    const auto map = grid->map_from_wgs84({-96.0, 28.5});
    ASSERT_TRUE(map.has_value());
    EXPECT_NEAR(map->x, 2963503.91, 0.02);
    EXPECT_NEAR(map->y, 254759.80, 0.02);
}

// The same note, method 9801 (Lambert conic conformal, one parallel): JAD69 Jamaica. Input from
// memory, confirmed with PROJ.
TEST(MapProjection, GivesTheOneParallelLambertExample) {
    const auto grid = MapProjection::open(
        "+proj=lcc +lat_1=18 +lat_0=18 +lon_0=-77 +k_0=1 +x_0=250000 +y_0=150000 +ellps=clrk66 "
        "+units=m +type=crs");
    ASSERT_TRUE(grid.has_value());
    const auto map = grid->map_from_wgs84({-dms(76, 56, 37.26), dms(17, 55, 55.80)});
    ASSERT_TRUE(map.has_value());
    EXPECT_NEAR(map->x, 255966.58, 0.02);
    EXPECT_NEAR(map->y, 142493.51, 0.02);
}

// J. P. Snyder, Map Projections: A Working Manual (USGS PP 1395, 1987), p. 104: the scale of a
// Lambert conic conformal map is true along its two standard parallels; north is up along its
// central meridian. NAD83 / Iowa South (ftUS), EPSG:3418, has them at 41°47' and 40°37' N, and
// 93°30' W.
TEST(MapProjection, GivesScaleAndConvergenceOfASystemInSurveyFeet) {
    const auto grid = MapProjection::open("EPSG:3418");
    ASSERT_TRUE(grid.has_value());
    EXPECT_NEAR(grid->metres_per_unit(), 1200.0 / 3937.0, 1e-12);
    for (const double lat : {dms(41, 47, 0), dms(40, 37, 0)}) {
        const auto map = grid->map_from_wgs84({-93.5, lat});
        ASSERT_TRUE(map.has_value());
        const auto distortion = grid->distortion_at(*map);
        ASSERT_TRUE(distortion.has_value());
        EXPECT_NEAR(distortion->scale_factor, 1.0, 1e-7);
        EXPECT_NEAR(distortion->convergence_rad, 0.0, 1e-7);
    }
}

// Reference library values (PROJ 9.1.1): coordinates, point scale and grid convergence.
TEST(MapProjection, GivesScaleAndConvergenceOfUtm) {
    struct Check {
        const char* crs;
        double lat, lon, e, n, scale, convergence_deg;
    };
    const Check checks[] = {
        {"EPSG:26915", 40, -93, 500000.000, 4427757.219, 0.99960000, 0.0},
        {"EPSG:26915", 40, -92.5, 542679.945, 4427876.924, 0.99962242, 0.321399},
        {"EPSG:26914", 28.5, -96, 793668.457, 3156262.615, 1.00066448, 1.432503},
        {"EPSG:32140", 28.5, -96, 893670.897, 4077653.754, 0.99996856, 1.469738}};
    for (const Check& check : checks) {
        const auto grid = MapProjection::open(check.crs);
        ASSERT_TRUE(grid.has_value()) << check.crs;
        const auto distortion = grid->distortion_at({check.e, check.n});
        ASSERT_TRUE(distortion.has_value()) << check.crs;
        EXPECT_NEAR(distortion->scale_factor, check.scale, 2e-8) << check.crs;
        EXPECT_NEAR(distortion->convergence_rad * degrees_per_rad, check.convergence_deg, 2e-6)
            << check.crs;
        // NAD83 and WGS 84 are one to PROJ without a grid, to 0.001 m.
        const auto map = grid->map_from_wgs84({check.lon, check.lat});
        ASSERT_TRUE(map.has_value());
        EXPECT_NEAR(map->x, check.e, 0.002) << check.crs;
        EXPECT_NEAR(map->y, check.n, 0.002) << check.crs;
    }
}

// GeodTest data set (Karney, Zenodo 32156): an inverse line through PROJ's geodesics, as the check
// that our positions in degrees mean what the ellipsoid says.
TEST(MapProjection, AgreesWithGeodesicLinesOverASite) {
    PJ* wgs84 = proj_create(PJ_DEFAULT_CTX, "EPSG:4326");
    ASSERT_NE(wgs84, nullptr);
    const PJ_COORD line =
        proj_geod(wgs84, proj_coord(-139.44815 / degrees_per_rad, 35.60777 / degrees_per_rad, 0, 0),
                  proj_coord(-69.95921 / degrees_per_rad, -11.17491 / degrees_per_rad, 0, 0));
    EXPECT_NEAR(line.lp.lam, 8935244.560482, 1e-5);

    // Over a lot, map distance over scale factor is the geodesic (40, −93) to (40.0003, −92.9996):
    // 47.710740 m (GeographicLib 2.1.2).
    const auto grid = MapProjection::open("EPSG:32615");
    const auto a = grid->map_from_wgs84({-93.0, 40.0});
    const auto b = grid->map_from_wgs84({-92.9996, 40.0003});
    const auto distortion = grid->distortion_at(*a);
    EXPECT_NEAR(std::hypot(b->x - a->x, b->y - a->y) / distortion->scale_factor, 47.710740, 1e-5);
    proj_destroy(wgs84);
}

TEST(MapProjection, RefusesWhatIsNoMapSystem) {
    EXPECT_FALSE(MapProjection::open("EPSG:999999").has_value());
    EXPECT_FALSE(MapProjection::open("no such thing").has_value());
    EXPECT_FALSE(MapProjection::open("").has_value());
    EXPECT_FALSE(MapProjection::open("EPSG:5703").has_value());  // heights only
}

TEST(MapProjection, NamesTheUtmZoneOfAPosition) {
    EXPECT_EQ(utm_zone_of({-93.0, 41.0}), "EPSG:32615");
    EXPECT_EQ(utm_zone_of({-93.0, -41.0}), "EPSG:32715");
    EXPECT_EQ(utm_zone_of({180.0, 10.0}), "EPSG:32660");
}

}  // namespace
}  // namespace sondeline
