#include <algorithm>

#include <gtest/gtest.h>

#include "survey/one_run_job.hpp"

namespace sondeline {
namespace {

using namespace made;

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

TEST(SurveySite, UsesNeitherOfTwoClipsWhoseNotedEndsEachFitTheOther) {
    Job job = one_run_job();
    job.runs.push_back(job.runs[0]);
    job.runs[1].id = RunId{"L2"};
    const auto note_end = [&](const char* run, double counter) {
        Note note;
        note.run.text = run;
        note.category = NoteCategory::end;
        note.counter = cell(counter);
        job.notes.push_back(note);
    };
    note_end("L1", 40.2);
    note_end("L2", 60.1);
    const Site site = survey_site(
        job, {{RunId{"L1"}, pushed_track(0.0, 60.0)}, {RunId{"L2"}, pushed_track(0.0, 40.0)}});
    EXPECT_FALSE(site.runs[0].counter_length_m);
    EXPECT_FALSE(site.runs[1].counter_length_m);
    EXPECT_NE(told_of(site, "may be exchanged"), "");
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
    job.runs[0].status = RunStatus::capped;  // its end is told
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

TEST(SurveySite, WithholdsALengthWhoseStartNobodyKnows) {
    const Site site = survey_site(one_run_job(), {{RunId{"L1"}, pushed_track(88.3, 120.0)}});
    EXPECT_FALSE(site.runs[0].counter_length_m);
    EXPECT_NE(site.runs[0].counter_length_m.withheld.what_to_do.find("counter_at_start"),
              std::string::npos);
}

TEST(SurveySite, LeavesAFixUnplacedWhoseCounterWasShownTwice) {
    Job job = one_run_job();
    job.runs[0].status = RunStatus::capped;  // its end is told
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

TEST(SurveySite, UsesNoTapeAtAStructureThatThePushDidNotReach) {
    Job job = one_run_job();
    job.runs[0].end_invert_depth_m = Cell<double>{0.7, {}};
    const RunTracks tracks{{RunId{"L1"}, pushed_track(0.0, 60.0)}};
    const auto has_tape = [](const Site& site) {
        return std::ranges::any_of(site.runs[0].vertical, [](const VerticalObservation& row) {
            return row.kind == VerticalKind::taped_end;
        });
    };
    EXPECT_TRUE(has_tape(survey_site(job, tracks)));
    job.runs[0].status = RunStatus::broken;
    const Site site = survey_site(job, tracks);
    EXPECT_FALSE(has_tape(site));
    EXPECT_NE(made::told_of(site, "the invert taped there"), "");
}

TEST(SurveySite, SaysWhereNothingTellsThatARunEndsWithItsFootage) {
    Job job = one_run_job();
    const RunTracks tracks{{RunId{"L1"}, pushed_track(0.0, 60.0)}};
    const Site untold = survey_site(job, tracks);
    EXPECT_FALSE(untold.runs[0].end_told);
    EXPECT_NE(made::told_of(untold, "ends 60.0 ft from the start, where its footage does"), "");
    job.runs[0].status = RunStatus::capped;
    const Site capped = survey_site(job, tracks);
    EXPECT_TRUE(capped.runs[0].end_told);
    EXPECT_EQ(made::told_of(capped, "where its footage does"), "");
}

TEST(SurveySite, TakesARunToStopShortByItsStatusOrByWhatLiesBeyondItsFootage) {
    Job job = one_run_job();
    const RunTracks tracks{{RunId{"L1"}, pushed_track(0.0, 60.0)}};
    EXPECT_FALSE(survey_site(job, tracks).runs[0].stops_short);
    job.fixes = {fix_at(80.0, 106.0, 200.0), fix_at(90.0, 107.0, 200.0)};
    EXPECT_TRUE(survey_site(job, tracks).runs[0].stops_short);
    job.fixes.clear();
    job.runs[0].status = RunStatus::broken;
    EXPECT_TRUE(survey_site(job, tracks).runs[0].stops_short);
}

}  // namespace
}  // namespace sondeline
