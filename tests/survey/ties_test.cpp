#include "survey/ties.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>

#include <gtest/gtest.h>

#include "survey/one_run_job.hpp"

namespace sondeline {
namespace {

using namespace made;

TEST(Ties, PlacesAStructureByTwoTapesAndASide) {
    Job job = one_run_job();
    for (const auto& [id, x] : {std::pair{"A", 0.0}, {"B", 21.0}}) {
        Structure mark;
        mark.id.text = id;
        mark.position = TypedPosition{false, x, 0.0, {}};
        mark.h_accuracy_m = cell(0.01);
        job.structures.push_back(mark);
    }
    Structure tank;
    tank.id.text = "tank";
    job.structures.push_back(tank);
    job.ties = {{"tank", "A", 13.0, std::nullopt, TieSide::left, {}},
                {"tank", "B", 20.0, std::nullopt, TieSide::unknown, {}}};
    const Site site = survey_site(job, {{RunId{"L1"}, pushed_track(0.0, 60.0)}});
    const SiteStructure& placed = site.structures.back();
    ASSERT_TRUE(placed.surveyed.has_value());
    const MapPoint map = map_from_local(site.frame, placed.surveyed->at);
    EXPECT_NEAR(map.x, 5.0, 1e-6);
    EXPECT_NEAR(map.y, 12.0, 1e-6);
    EXPECT_EQ(site.ties.size(), 2U);
}

// The whole-number triangles 13-20-21 and 5-12-13 once more: the tank is at (5, 12). All in feet.
Site tied_site(double from_a_ft, double from_b_ft, std::optional<double> from_c_ft,
               std::optional<LengthUnit> unit = LengthUnit::foot) {
    constexpr double foot_m = 0.3048;
    Job job = one_run_job();
    job.settings.length_unit = unit;
    for (const auto& [id, x, y] : {std::tuple{"A", 0.0, 0.0}, {"B", 21.0, 0.0}, {"C", 0.0, 24.0}}) {
        Structure mark;
        mark.id.text = id;
        mark.position = TypedPosition{false, x * foot_m, y * foot_m, {}};
        mark.h_accuracy_m = cell(0.01);
        job.structures.push_back(mark);
    }
    Structure tank;
    tank.id.text = "tank";
    job.structures.push_back(tank);
    job.ties = {{"tank", "A", from_a_ft * foot_m, std::nullopt, TieSide::left, {}},
                {"tank", "B", from_b_ft * foot_m, std::nullopt, TieSide::unknown, {}}};
    if (from_c_ft) {
        job.ties.push_back({"tank", "C", *from_c_ft * foot_m, std::nullopt, TieSide::unknown, {}});
    }
    return survey_site(job, {{RunId{"L1"}, pushed_track(0.0, 60.0)}});
}

TEST(Ties, NamesTheTapeThatIsOffByAWholeFootOrTen) {
    for (const double slip : {1.0, -1.0, 10.0}) {
        const Site site = tied_site(13.0, 20.0 + slip, 13.0);
        EXPECT_FALSE(site.structures.back().surveyed.has_value());
        EXPECT_NE(told_of(site, "contradict").find("20.0 ft from B in place of"), std::string::npos)
            << told_of(site, "contradict");
    }
    EXPECT_EQ(told_of(tied_site(13.0, 20.5, 13.0), "contradict").find("in place of"),
              std::string::npos);
}

// With 19 ft or 21 ft from B the tank lies 12.0 ft or so from the line of the marks still: by
// Heron's formula with sides 13, 19, 21 (13, 21, 21) the offset is 2·area/21 = 11.57 ft (12.36 ft).
TEST(Ties, SaysWhereATankWouldLieWereOneOfItsTwoTapesMisread) {
    const Site site = tied_site(13.0, 20.0, {});
    const std::vector<UncheckedTapes> all = unchecked_tapes(site);
    ASSERT_EQ(all.size(), 1U);
    const UncheckedTapes& tank = all[0];
    EXPECT_EQ(tank.structure, static_cast<int>(site.structures.size()) - 1);
    // sin of the angle at the tank, by the area 126 of the triangle 13-20-21: 2·126/(13·20).
    EXPECT_NEAR(tank.moves_by, 13.0 * 20.0 / (2.0 * 126.0), 1e-9);
    ASSERT_EQ(tank.slips.size(), 4U);
    const PlanPoint a = site.structures[1].surveyed->at;
    for (const auto& [meant_ft, offset_ft] : {std::pair{19.0, 11.5694}, {21.0, 12.3616}}) {
        const auto slip = std::ranges::find_if(tank.slips, [&](const TapeSlip& one) {
            return std::abs(one.meant_m - meant_ft * 0.3048) < 1e-9;
        });
        ASSERT_NE(slip, tank.slips.end());
        EXPECT_EQ(site.structures[static_cast<std::size_t>(slip->reference)].id.text, "B");
        EXPECT_NEAR(slip->at.n_m - a.n_m, offset_ft * 0.3048, 1e-3);
    }
    EXPECT_TRUE(unchecked_tapes(tied_site(13.0, 20.0, 13.0)).empty());
}

TEST(Ties, SpeaksOfTapesInTheUnitOfThePicturesWhereNoTableNamesOne) {
    EXPECT_EQ(told_of(tied_site(13.0, 21.0, 13.0, std::nullopt), "contradict").find(" m "),
              std::string::npos);
    EXPECT_NE(told_of(tied_site(13.0, 21.0, 13.0, std::nullopt), "contradict")
                  .find("20.0 ft from B in place of 21.0 ft"),
              std::string::npos);
}

TEST(Ties, GivesTapedDistancesAsTapedOnTheGround) {
    Job job = one_run_job();
    job.structures[0].position = TypedPosition{true, -96.0, 28.5, {}};
    job.settings.crs = "EPSG:26914";  // map distances are 1.00066 of those on the ground there
    Structure tank;
    tank.id.text = "tank";
    job.structures.push_back(tank);
    job.ties = {{"tank", "box", 100.0, std::nullopt, TieSide::unknown, {}}};
    const Site site = survey_site(job, {{RunId{"L1"}, pushed_track(0.0, 60.0)}});
    ASSERT_EQ(site.ties.size(), 1U);
    EXPECT_DOUBLE_EQ(site.ties[0].distance_m.value, 100.0);
}

TEST(Ties, ReducesTiesForTheRiseBetweenTheMarks) {
    Job job = one_run_job();
    job.structures[0].position = TypedPosition{false, 0.0, 0.0, {}};
    job.structures[0].ground_m = cell(101.0);
    for (const auto& [id, x, ground] : {std::tuple{"nail", 21.0, 100.0}, {"lid", 0.0, 101.0}}) {
        Structure mark;
        mark.id.text = id;
        mark.ground_m = cell(ground);
        if (mark.id.text == "nail") mark.position = TypedPosition{false, x, 0.0, {}};
        job.structures.push_back(mark);
    }
    // From (5, 12) at height 101: 13 m level to the box, 20 m and 1 m down to the nail.
    const auto tie = [](const char* reference, double distance_m) {
        Tie made;
        made.point = "lid";
        made.reference = reference;
        made.distance_m = distance_m;
        made.side = TieSide::left;
        return made;
    };
    job.ties = {tie("box", 13.0), tie("nail", std::sqrt(401.0))};
    const Site site = survey_site(job, {});
    ASSERT_TRUE(site.structures[2].surveyed);
    EXPECT_NEAR(site.structures[2].surveyed->at.e_m, site.structures[0].surveyed->at.e_m + 5.0,
                1e-6);
    EXPECT_NEAR(site.structures[2].surveyed->at.n_m, site.structures[0].surveyed->at.n_m + 12.0,
                1e-6);
    EXPECT_NEAR(site.ties[1].distance_m.value, 20.0, 1e-9);
}

}  // namespace
}  // namespace sondeline
