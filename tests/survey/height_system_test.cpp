#include "survey/height_system.hpp"

#include <cmath>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace sondeline {
namespace {

using testing::HasSubstr;

// GeographicLib's manual page of GeoidEval: the EGM96 geoid at 16:46:33N 3:00:34W (Timbuktu) lies
// 28.7068 m above the ellipsoid (from memory; its grid is of 5', the one here of 15').
TEST(HeightSystem, TakesTheGeoidOffAHeightAboveTheEllipsoid) {
    const GeographicPoint timbuktu{-(3.0 + 34.0 / 3600.0), 16.0 + 46.0 / 60.0 + 33.0 / 3600.0};
    const auto opened = HeightLink::open("ellipsoid", "EPSG:5773");
    ASSERT_TRUE(opened.link.has_value()) << opened.why;
    EXPECT_NEAR(*opened.link->height_m(timbuktu, 100.0), 100.0 - 28.7068, 0.02);
    EXPECT_EQ(opened.link->operation_at(timbuktu), "WGS 84 to EGM96 height (1)");
    EXPECT_NEAR(opened.link->accuracy_at_m(timbuktu).value(), 1.0, 1e-9);
}

TEST(HeightSystem, ComesBackToWhereItBegan) {
    const GeographicPoint place{-92.5, 40.0};
    const auto there = HeightLink::open("ellipsoid", "EPSG:5773");
    const auto back = HeightLink::open("EPSG:5773", "ellipsoid");
    ASSERT_TRUE(there.link && back.link);
    EXPECT_NEAR(*back.link->height_m(place, *there.link->height_m(place, 250.0)), 250.0, 1e-6);
}

// The US survey foot is 1200/3937 m (NIST SP 811): the same level in two units.
TEST(HeightSystem, SpeaksMetresWhateverTheSystemsUnit) {
    const auto opened = HeightLink::open("EPSG:6360", "EPSG:5703");
    ASSERT_TRUE(opened.link.has_value()) << opened.why;
    EXPECT_NEAR(*opened.link->height_m({-92.5, 40.0}, 250.0), 250.0, 1e-6);
}

// Grids of NAVD88 are not among Debian's; PROJ must not be let pass the height through unchanged.
TEST(HeightSystem, NamesTheGridThatIsMissingInsteadOfTakingTheGeoidForNil) {
    const auto opened = HeightLink::open("EPSG:6319", "EPSG:5703");
    ASSERT_FALSE(opened.link.has_value());
    EXPECT_THAT(opened.why, HasSubstr("us_noaa_g20"));
    EXPECT_THAT(opened.what_to_do, HasSubstr("projsync"));
}

TEST(HeightSystem, KnowsNoHeightsInWordsOrInSystemsOfAMap) {
    EXPECT_FALSE(HeightLink::open("ellipsoid", "mean sea level").link);
    EXPECT_FALSE(HeightLink::open("EPSG:32615", "EPSG:5773").link);
    // Depths run down: EPSG:5715 is mean sea level depth.
    EXPECT_FALSE(HeightLink::open("ellipsoid", "EPSG:5715").link);
}

Job job_with(const std::string& ground_datum, const std::string& vertical_datum) {
    Job job;
    job.settings.ground_datum = ground_datum;
    job.settings.vertical_datum = vertical_datum;
    Structure tank;
    tank.id.text = "tank";
    tank.position = TypedPosition{true, -3.0094444, 16.7758333, {}};
    tank.ground_m = Cell<double>{100.0, {"structures.csv", 2, "ground"}};
    job.structures.push_back(tank);
    return job;
}

TEST(HeightSystem, BringsTheGroundOfTheTablesToTheMap) {
    const Site site = survey_site(job_with("Ellipsoid", "EPSG:5773"), {});
    ASSERT_TRUE(site.structures[0].ground_m.has_value());
    EXPECT_NEAR(site.structures[0].ground_m->value, 100.0 - 28.7068, 0.02);
    EXPECT_NEAR(site.structures[0].ground_m->sd, 0.03, 1e-12);
    EXPECT_EQ(site.z_reference, ZReference::elevation);
}

// Beside levels the error of the model, 1 m, no longer is the same for all heights.
TEST(HeightSystem, CountsTheModelsErrorWhereLevelsMeetIt) {
    Job job = job_with("ellipsoid", "EPSG:5773");
    job.levels.push_back({"1", "nail", std::nullopt, std::nullopt, 72.0, {}});
    const Site site = survey_site(job, {});
    EXPECT_NEAR(site.structures[0].ground_m->sd, std::hypot(0.03, 1.0), 1e-9);
}

TEST(HeightSystem, UsesNoGroundThatHasNoWayToTheMap) {
    for (const auto& [from, to] : {std::pair{"ellipsoid", "local"},
                                   {"ellipsoid", "EPSG:5703"},
                                   {"ellipsoid", "as the county has it"}}) {
        const Site site = survey_site(job_with(from, to), {});
        EXPECT_FALSE(site.structures[0].ground_m.has_value()) << to;
        ASSERT_EQ(site.findings.size(), 1U) << to;
        EXPECT_EQ(site.findings[0].consequence, Consequence::input_rejected) << to;
        EXPECT_EQ(site.findings[0].where.column, "ground datum") << to;
    }
}

TEST(HeightSystem, LeavesHeightsOfTheMapsOwnDatumAlone) {
    const Site site = survey_site(job_with("EPSG:5703", "epsg:5703"), {});
    EXPECT_DOUBLE_EQ(site.structures[0].ground_m->value, 100.0);
    EXPECT_TRUE(site.findings.empty());
}

}  // namespace
}  // namespace sondeline
