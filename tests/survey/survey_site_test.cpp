#include <algorithm>
#include <cmath>
#include <tuple>

#include <gtest/gtest.h>

#include "sondeline/survey.hpp"

#include "survey/map_projection.hpp"

namespace sondeline {
namespace {

// A track that pushes from `from` to `to` feet at one tick a sample, ten samples a second.
JoinedTrack pushed_track(double from, double to) {
    JoinedTrack track;
    track.clips = {"a.mp4"};
    track.clip_starts_s = {0.0};
    track.unit = CounterUnit::foot;
    track.tick = 0.1;
    double time_s = 0.0;
    for (double counter = from; counter <= to + 1e-9; counter += 0.1) {
        PushSample sample;
        sample.sample = {time_s, counter, 1.0, CounterState::push, ""};
        sample.pushed = counter;
        track.samples.push_back(sample);
        time_s += 0.1;
    }
    const PushSample& last = track.samples.back();
    track.first = PushedReach{0, 0.0, from, from};
    track.furthest = PushedReach{0, last.sample.time_s, *last.sample.counter, *last.pushed};
    return track;
}

Cell<double> cell(double value) {
    return {value, {"fixes.csv", 2, "x"}};
}

Job one_run_job() {
    Job job;
    job.settings.length_unit = LengthUnit::foot;
    Structure box;
    box.id.text = "box";
    box.position = TypedPosition{false, 100.0, 200.0, {}};
    job.structures.push_back(box);
    Run run;
    run.id.text = "L1";
    run.from = StructureId{"box"};
    run.diameter_m = cell(0.1);
    job.runs.push_back(run);
    return job;
}

Fix fix_at(double counter, double x, double y) {
    Fix fix;
    fix.id = "F1";
    fix.run.text = "L1";
    fix.counter = cell(counter);
    fix.position = TypedPosition{false, x, y, {}};
    return fix;
}

TEST(SurveySite, MeasuresTheRunFromItsStartToTheFurthestReading) {
    const Job job = one_run_job();
    const Site site = survey_site(job, {{RunId{"L1"}, pushed_track(0.0, 60.0)}});
    ASSERT_TRUE(site.runs[0].counter_length_m);
    EXPECT_NEAR(*site.runs[0].counter_length_m, 60.0 * 0.3048, 1e-6);
    EXPECT_FALSE(site.runs[0].start_assumed);
}

TEST(SurveySite, TakesTheGivenCounterAtTheStart) {
    Job job = one_run_job();
    job.runs[0].counter_at_start = cell(2.0);
    const Site site = survey_site(job, {{RunId{"L1"}, pushed_track(2.0, 60.0)}});
    EXPECT_NEAR(*site.runs[0].counter_length_m, 58.0 * 0.3048, 1e-6);
}

TEST(SurveySite, SaysWhenTheStartWasAssumed) {
    const Job job = one_run_job();
    const Site site = survey_site(job, {{RunId{"L1"}, pushed_track(4.0, 60.0)}});
    EXPECT_TRUE(site.runs[0].start_assumed);
    EXPECT_NEAR(*site.runs[0].counter_length_m, 60.0 * 0.3048, 1e-6);
    EXPECT_FALSE(site.findings.empty());
}

TEST(SurveySite, WithholdsALengthWithoutFootageAndSaysWhatToDo) {
    const Site site = survey_site(one_run_job(), {});
    EXPECT_FALSE(site.runs[0].counter_length_m);
    EXPECT_FALSE(site.runs[0].counter_length_m.withheld.what_to_do.empty());
    ASSERT_EQ(site.findings.size(), 1U);
    EXPECT_EQ(site.findings[0].consequence, Consequence::run_not_measured);
}

TEST(SurveySite, WithholdsALengthAcrossAGapThatCannotBeKnown) {
    JoinedTrack track = pushed_track(0.0, 60.0);
    track.continuous = false;
    track.parts = {31.2, 28.8};
    const Site site = survey_site(one_run_job(), {{RunId{"L1"}, track}});
    EXPECT_FALSE(site.runs[0].counter_length_m);
    EXPECT_NE(site.runs[0].counter_length_m.withheld.reason.find("31.2"), std::string::npos);
}

TEST(SurveySite, WithholdsALengthWhoseUnitNobodyKnows) {
    Job job = one_run_job();
    job.settings.length_unit.reset();
    JoinedTrack track = pushed_track(0.0, 60.0);
    track.unit = CounterUnit::unknown;
    const Site site = survey_site(job, {{RunId{"L1"}, track}});
    EXPECT_FALSE(site.runs[0].counter_length_m);
}

TEST(SurveySite, PlacesFixesByCounterAndByTimeWithTheSetbackTakenOff) {
    Job job = one_run_job();
    job.settings.sonde_setback_m = 0.15;
    job.fixes = {fix_at(20.0, 106.0, 200.0), fix_at(0.0, 109.0, 200.0)};
    job.fixes[1].id = "F2";
    job.fixes[1].counter.reset();
    job.fixes[1].video_time_s = cell(30.0);  // a tenth of a second per tick: 30 ft
    const Site site = survey_site(job, {{RunId{"L1"}, pushed_track(0.0, 60.0)}});
    EXPECT_EQ(site.fixes[0].placing, FixPlacing::by_counter);
    EXPECT_NEAR(site.fixes[0].x_m, 20.0 * 0.3048 - 0.15, 1e-6);
    EXPECT_EQ(site.fixes[1].placing, FixPlacing::by_video_time);
    EXPECT_NEAR(site.fixes[1].x_m, 30.0 * 0.3048 - 0.15, 1e-3);
}

TEST(SurveySite, SaysThatNobodyGaveTheSetbackOfATransmitterThatWasHeard) {
    const auto told = [](double setback_m, FixMethod method) {
        Job job = one_run_job();
        job.settings.sonde_setback_m = setback_m;
        job.fixes = {fix_at(20.0, 106.0, 200.0)};
        job.fixes[0].method = method;
        const Site site = survey_site(job, {{RunId{"L1"}, pushed_track(0.0, 60.0)}});
        return std::ranges::count_if(site.findings, [](const Finding& finding) {
            return finding.where.column == "sonde setback";
        });
    };
    EXPECT_EQ(told(0.0, FixMethod::sonde), 1);
    EXPECT_EQ(told(0.15, FixMethod::sonde), 0);
    EXPECT_EQ(told(0.0, FixMethod::probe), 0);  // a probe strikes the pipe at the lens
}

TEST(SurveySite, LeavesAFixFarBeyondTheEndUnplacedAndNamesTheLikelyCause) {
    Job job = one_run_job();
    job.fixes = {fix_at(150.0, 106.0, 200.0)};
    JoinedTrack track = pushed_track(0.0, 60.0);
    const auto advice = [&] {
        const Site site = survey_site(job, {{RunId{"L1"}, track}});
        EXPECT_EQ(site.fixes[0].placing, FixPlacing::unplaced);
        return site.findings.back().what_to_do;
    };
    EXPECT_NE(advice().find("another run"), std::string::npos);
    track.unit = CounterUnit::metre;
    EXPECT_NE(advice().find("in feet"), std::string::npos);
}

TEST(SurveySite, KeepsAFixJustBeyondTheEnd) {
    Job job = one_run_job();
    job.fixes = {fix_at(61.0, 106.0, 200.0)};
    const Site site = survey_site(job, {{RunId{"L1"}, pushed_track(0.0, 60.0)}});
    EXPECT_EQ(site.fixes[0].placing, FixPlacing::by_counter);
}

TEST(SurveySite, SaysWhatHeightsCountFrom) {
    Job job = one_run_job();
    job.fixes = {fix_at(20.0, 106.0, 200.0)};
    job.fixes[0].depth_m = cell(0.8);
    const RunTracks tracks{{RunId{"L1"}, pushed_track(0.0, 60.0)}};
    EXPECT_EQ(survey_site(job, tracks).z_reference, ZReference::below_ground);
    job.settings.level_ground = true;
    EXPECT_EQ(survey_site(job, tracks).z_reference, ZReference::assumed_level_ground);
    job.fixes[0].ground_m = cell(30.0);
    EXPECT_EQ(survey_site(job, tracks).z_reference, ZReference::benchmark);
    job.settings.vertical_datum = "EPSG:5703";
    EXPECT_EQ(survey_site(job, tracks).z_reference, ZReference::elevation);
}

// Five per cent of depth, at least 0.05 m: the table's defaults.
TEST(SurveySite, GivesDepthsTheirDefaultSpread) {
    Job job = one_run_job();
    job.fixes = {fix_at(20.0, 106.0, 200.0)};
    job.fixes[0].depth_m = cell(2.0);
    const Site site = survey_site(job, {{RunId{"L1"}, pushed_track(0.0, 60.0)}});
    EXPECT_NEAR(site.fixes[0].depth_m->sd, 0.10, 1e-12);
    ASSERT_EQ(site.runs[0].vertical.size(), 1U);
    EXPECT_EQ(site.runs[0].vertical[0].kind, VerticalKind::sonde_depth);
}

TEST(SurveySite, NamesTheRowOfANoteThatSaysWhereWaterStands) {
    Job job = one_run_job();
    Note note;
    note.run.text = "L1";
    note.category = NoteCategory::standing_water;
    note.source = {"notes.csv", 5, ""};
    note.counter = cell(23.0);
    note.to_counter = cell(16.0);
    job.notes = {note};
    const SiteRun run = survey_site(job, {{RunId{"L1"}, pushed_track(0.0, 60.0)}}).runs[0];
    ASSERT_EQ(run.vertical.size(), 1U);
    EXPECT_EQ(run.vertical[0].kind, VerticalKind::still_water);
    EXPECT_EQ(run.vertical[0].source, "standing water, row 5");
    EXPECT_FALSE(run.vertical[0].water.has_value());  // the footage shows none
    EXPECT_NEAR(run.vertical[0].x_m, 16.0 * 0.3048, 1e-6);
    EXPECT_NEAR(run.vertical[0].to_x_m, 23.0 * 0.3048, 1e-6);
}

TEST(SurveySite, PlacesWhatTheFootageLookedAlong) {
    JoinedTrack track = pushed_track(10.0, 60.0);
    track.water_reaches = {{15.0, 40.0, 0.12, false}};
    Job job = one_run_job();
    job.runs[0].counter_at_start = cell(10.0);
    const SiteRun run = survey_site(job, {{RunId{"L1"}, track}}).runs[0];
    ASSERT_TRUE(run.looked_along);
    ASSERT_EQ(run.looked_along->size(), 1U);
    EXPECT_NEAR(run.looked_along->front().from_x_m, 5.0 * 0.3048, 1e-6);
    EXPECT_NEAR(run.looked_along->front().to_x_m, 30.0 * 0.3048, 1e-6);
    EXPECT_EQ(run.looked_along->front().sure_share, 0.12);
    const SiteRun unseen = survey_site(job, {}).runs[0];
    EXPECT_FALSE(unseen.looked_along);
    EXPECT_EQ(unseen.looked_along.withheld.reason, "No footage of this run was read.");
}

TEST(SurveySite, TurnsHeadingsFromMagneticNorthToGridNorth) {
    Job job = one_run_job();
    job.settings.north = NorthReference::magnetic;
    job.fixes = {fix_at(20.0, 106.0, 200.0)};
    job.fixes[0].heading_rad = cell(0.5);
    const RunTracks tracks{{RunId{"L1"}, pushed_track(0.0, 60.0)}};
    EXPECT_FALSE(survey_site(job, tracks).fixes[0].heading.has_value());
    job.settings.declination_rad = 0.1;
    const Site site = survey_site(job, tracks);
    ASSERT_TRUE(site.fixes[0].heading.has_value());
    EXPECT_NEAR(site.fixes[0].heading->rad, 0.6, 1e-12);  // local frame: no convergence
}

TEST(SurveySite, PlacesAStructureByTwoTapesAndASide) {
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
Site tied_site(double from_a_ft, double from_b_ft, std::optional<double> from_c_ft) {
    constexpr double foot_m = 0.3048;
    Job job = one_run_job();
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

std::string told_of(const Site& site, const std::string& words) {
    for (const Finding& finding : site.findings) {
        if (finding.what.find(words) != std::string::npos) return finding.what;
    }
    return "";
}

TEST(SurveySite, NamesTheTapeThatIsOffByAWholeFootOrTen) {
    for (const double slip : {1.0, -1.0, 10.0}) {
        const Site site = tied_site(13.0, 20.0 + slip, 13.0);
        EXPECT_FALSE(site.structures.back().surveyed.has_value());
        EXPECT_NE(told_of(site, "contradict").find("20.0 ft from B in place of"), std::string::npos)
            << told_of(site, "contradict");
    }
    EXPECT_EQ(told_of(tied_site(13.0, 20.5, 13.0), "contradict").find("in place of"),
              std::string::npos);
}

TEST(SurveySite, SaysHowFarASlipThatNoThirdTapeChecksWouldMoveAPlace) {
    // sin of the angle at the tank, by the area 126 of the triangle 13-20-21: 2·126/(13·20).
    EXPECT_NE(told_of(tied_site(13.0, 20.0, {}), "no third one checks")
                  .find("misread by 1 ft moves the place by up to 1.0 ft"),
              std::string::npos);
    EXPECT_EQ(told_of(tied_site(13.0, 20.0, 13.0), "no third one checks"), "");
}

TEST(SurveySite, ReadsPositionsInDegreesIntoTheirUtmZone) {
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

TEST(SurveySite, FallsBackWithAFindingWhenTheCoordinateSystemIsUnknown) {
    Job job = one_run_job();
    job.settings.crs = "EPSG:999999";
    const Site site = survey_site(job, {{RunId{"L1"}, pushed_track(0.0, 60.0)}});
    EXPECT_EQ(site.frame.crs, "local");
    EXPECT_EQ(site.findings[0].severity, Severity::problem);
}

TEST(SurveySite, WithholdsALengthWhoseStartNobodyKnows) {
    const Site site = survey_site(one_run_job(), {{RunId{"L1"}, pushed_track(88.3, 120.0)}});
    EXPECT_FALSE(site.runs[0].counter_length_m);
    EXPECT_NE(site.runs[0].counter_length_m.withheld.what_to_do.find("counter_at_start"),
              std::string::npos);
}

TEST(SurveySite, LeavesAFixUnplacedWhoseCounterWasShownTwice) {
    Job job = one_run_job();
    job.runs[0].counter_at_start = cell(0.0);
    job.fixes = {fix_at(5.0, 106.0, 200.0)};
    // Zeroed on the way at 30 ft, then pushed another 20 ft: 5.0 was shown twice.
    JoinedTrack track = pushed_track(0.0, 30.0);
    double time_s = track.samples.back().sample.time_s;
    for (double counter = 0.0; counter <= 20.0 + 1e-9; counter += 0.1) {
        PushSample sample;
        sample.sample = {time_s += 0.1, counter, 1.0, CounterState::push, ""};
        sample.pushed = 30.0 + counter;
        track.samples.push_back(sample);
    }
    track.furthest = PushedReach{0, time_s, 20.0, 50.0};
    const Site site = survey_site(job, {{RunId{"L1"}, track}});
    EXPECT_NEAR(*site.runs[0].counter_length_m, 50.0 * 0.3048, 1e-6);
    EXPECT_EQ(site.fixes[0].placing, FixPlacing::unplaced);
    EXPECT_EQ(site.findings.back().consequence, Consequence::input_rejected);
}

TEST(SurveySite, DoesNotMixHeightsOfTwoDatums) {
    Job job = one_run_job();
    job.levels = {{"1", "box", 1.0, std::nullopt, 30.48, {}},
                  {"1", "box", std::nullopt, 1.0, std::nullopt, {}}};
    job.fixes = {fix_at(20.0, 106.0, 200.0)};
    job.fixes[0].ground_m = cell(231.40);
    const Site site = survey_site(job, {{RunId{"L1"}, pushed_track(0.0, 60.0)}});
    EXPECT_FALSE(site.fixes[0].ground_m.has_value());
    EXPECT_TRUE(site.structures[0].ground_m.has_value());
}

TEST(SurveySite, RefusesPlanePositionsWithoutASystemBesideDegrees) {
    Job job = one_run_job();
    job.fixes = {fix_at(20.0, -92.9996, 40.0003)};
    job.fixes[0].position->geographic = true;
    const Site site = survey_site(job, {{RunId{"L1"}, pushed_track(0.0, 60.0)}});
    EXPECT_FALSE(site.structures[0].surveyed.has_value());
    EXPECT_TRUE(site.fixes[0].position.has_value());
}

TEST(SurveySite, GivesTapedDistancesAsTapedOnTheGround) {
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

// Elevation factor R/(R + h), R = 6 372 000 m (NOAA Manual NOS NGS 5; from memory): 0.999749 at
// 1600 m, 2.5 cm in 100 m.
TEST(SurveySite, BringsGroundLengthsDownToTheMapFromTheHeightOfTheSite) {
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

TEST(SurveySite, ReducesTiesForTheRiseBetweenTheMarks) {
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

// 92.1° west is 11.1° from the middle of zone 17: k = 0.9996·(1 + λ²cos²φ/2) = 1.0102 (Snyder, Map
// Projections: A Working Manual, USGS PP 1395, transverse Mercator, leading term, from memory).
TEST(SurveySite, SaysWhatAMapInTheZoneOfAnotherPlaceDoesToDistances) {
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
