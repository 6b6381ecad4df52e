#include <gtest/gtest.h>

#include "sondeline/appraisal.hpp"

namespace sondeline {
namespace {

struct OneLateral {
    Job job;
    Site site;
    Lines lines;
    Profiles profiles;

    explicit OneLateral(Bounded length_m) {
        site.job_unit = LengthUnit::foot;
        SiteRun run;
        run.id.text = "L1";
        run.kind = RunKind::lateral;
        site.runs.push_back(run);
        AlignedRun aligned;
        aligned.run = run;
        aligned.length_m = figure(length_m);
        lines.runs.push_back(aligned);
        GradedRun graded;
        graded.id = run.id;
        profiles.runs.push_back(graded);
    }

    RecordCheck check(RecordItem item, double value) {
        RecordClaim claim;
        claim.item = item;
        claim.value = value;
        claim.as_written = "as written";
        job.records = {claim};
        return appraise(job, site, lines, profiles).records.front();
    }
};

TEST(Records, FallShortOnlyWhenTheWholeIntervalDoes) {
    OneLateral lateral({19.0, 18.8, 19.2});
    EXPECT_EQ(lateral.check(RecordItem::total_trench_length, 30.0).verdict,
              RecordVerdict::short_of);
    EXPECT_EQ(lateral.check(RecordItem::total_trench_length, 19.1).verdict, RecordVerdict::agrees);
    EXPECT_EQ(lateral.check(RecordItem::total_trench_length, 12.0).verdict, RecordVerdict::longer);
}

TEST(Records, AreNotJudgedByAMeasurementThatIsTooLoose) {
    OneLateral lateral({19.0, 14.0, 24.0});
    EXPECT_EQ(lateral.check(RecordItem::total_trench_length, 20.0).verdict,
              RecordVerdict::cannot_tell);
}

TEST(Records, CannotBeCheckedAgainstALengthThatWasWithheld) {
    OneLateral lateral({19.0, 18.8, 19.2});
    lateral.lines.runs[0].length_m = withheld<Bounded>("no footage", "push it again");
    const RecordCheck check = lateral.check(RecordItem::total_trench_length, 30.0);
    EXPECT_EQ(check.verdict, RecordVerdict::cannot_tell);
    EXPECT_FALSE(check.difference.has_value());
}

TEST(Records, CountLaterals) {
    OneLateral lateral({19.0, 18.8, 19.2});
    EXPECT_EQ(lateral.check(RecordItem::number_of_laterals, 1.0).verdict, RecordVerdict::agrees);
    EXPECT_EQ(lateral.check(RecordItem::number_of_laterals, 3.0).verdict, RecordVerdict::short_of);
}

TEST(Records, NeverClaimToHaveMeasuredAYear) {
    OneLateral lateral({19.0, 18.8, 19.2});
    EXPECT_EQ(lateral.check(RecordItem::install_year, 1987.0).verdict, RecordVerdict::cannot_tell);
}

TEST(Quantities, AddUpToTheRun) {
    OneLateral lateral({19.0, 18.8, 19.2});
    Stretch stretch;
    stretch.to_m = 7.3;
    lateral.profiles.runs[0].stretches = {stretch};
    const Appraisal appraisal =
        appraise(lateral.job, lateral.site, lateral.lines, lateral.profiles);
    ASSERT_EQ(appraisal.quantities.size(), 2U);
    EXPECT_DOUBLE_EQ(
        appraisal.quantities[0].length_m.value + appraisal.quantities[1].length_m.value, 19.0);
    EXPECT_EQ(appraisal.quantities[0].depth_band, "not measured");
}

// A profile of one depth all along.
std::vector<ProfilePoint> buried(double depth_m, double length_m) {
    std::vector<ProfilePoint> profile;
    for (int i = 0; i <= 190; ++i) {
        ProfilePoint point;
        point.station_m = length_m * i / 190.0;
        point.cover_m = Bounded{depth_m, depth_m, depth_m};
        profile.push_back(point);
    }
    return profile;
}

// OSHA 29 CFR 1926.651(c)(2): a way out from 4 ft (1.2192 m); 1926.652(a)(1): protection from 5 ft
// (1.524 m).
TEST(Quantities, NameTheDepthBandByTheLimitsOfDigging) {
    OneLateral lateral({19.0, 18.8, 19.2});
    for (const auto& [depth_m, band] :
         {std::pair{1.0, "under 4.0 ft"}, std::pair{1.3, "4.0 to 5.0 ft"},
          std::pair{2.0, "5.0 to 9.8 ft"}, std::pair{3.5, "over 9.8 ft"}}) {
        lateral.profiles.runs[0].profile = buried(depth_m, 19.0);
        const Appraisal appraisal =
            appraise(lateral.job, lateral.site, lateral.lines, lateral.profiles);
        ASSERT_EQ(appraisal.quantities.size(), 1U);
        EXPECT_EQ(appraisal.quantities[0].depth_band, band);
    }
}

// Trapezoid: (bottom + top)/2 · depth, with top = bottom + 2·s·depth. 0.6 m wide, 2 m deep, 1.5 to
// 1: (0.6 + 6.6)/2 · 2 = 7.2 m² of cross-section.
TEST(Quantities, DigWithTheWidthAndSlopeThatAreAsked) {
    OneLateral lateral({10.0, 9.9, 10.1});
    lateral.profiles.runs[0].profile = buried(2.0, 10.0);
    QuantityOptions options;
    options.trench_width_m = 0.6;
    options.side_slope = 1.5;
    options.band_limits_m = {1.8};
    const Appraisal appraisal =
        appraise(lateral.job, lateral.site, lateral.lines, lateral.profiles, options);
    ASSERT_EQ(appraisal.quantities.size(), 1U);
    EXPECT_NEAR(appraisal.quantities[0].trench_volume_m3->value, 72.0, 1e-9);
    EXPECT_EQ(appraisal.quantities[0].depth_band, "over 5.9 ft");
}

// A depth of 1.45 m that may be 1.35 or 1.55 m lies on either side of 5 ft (1.524 m). Dug 0.6 m
// wide with vertical sides along 9.9 to 10.1 m, it is at least 0.6 · 1.35 · 9.9 and at most 0.6
// · 1.55 · 10.1 m³.
TEST(Quantities, NameEveryBandThatTheBoundsReachInto) {
    OneLateral lateral({10.0, 9.9, 10.1});
    lateral.profiles.runs[0].profile = buried(1.45, 10.0);
    for (ProfilePoint& point : lateral.profiles.runs[0].profile) {
        point.cover_m = Bounded{1.45, 1.35, 1.55};
    }
    QuantityOptions options;
    options.trench_width_m = 0.6;
    const Quantity row =
        appraise(lateral.job, lateral.site, lateral.lines, lateral.profiles, options).quantities[0];
    EXPECT_EQ(row.depth_band, "4.0 to 5.0 ft");
    EXPECT_EQ(row.other_bands, "5.0 to 9.8 ft");
    EXPECT_NEAR(row.depth_m->lo95, 1.35, 1e-9);
    EXPECT_NEAR(row.depth_m->hi95, 1.55, 1e-9);
    EXPECT_NEAR(row.trench_volume_m3->lo95, 8.019, 1e-9);
    EXPECT_NEAR(row.trench_volume_m3->hi95, 9.393, 1e-9);
}

TEST(Quantities, DigNothingWhereTheDepthIsNotKnown) {
    OneLateral lateral({10.0, 9.9, 10.1});
    lateral.profiles.runs[0].profile = buried(2.0, 10.0);
    lateral.profiles.runs[0].profile[100].cover_m.reset();
    lateral.profiles.runs[0].profile[101].cover_m.reset();
    lateral.profiles.runs[0].profile[102].cover_m.reset();
    lateral.profiles.runs[0].profile[103].cover_m.reset();
    lateral.profiles.runs[0].profile[104].cover_m.reset();
    const Appraisal appraisal =
        appraise(lateral.job, lateral.site, lateral.lines, lateral.profiles);
    EXPECT_FALSE(appraisal.quantities[0].trench_volume_m3.has_value());
    EXPECT_EQ(appraisal.quantities[0].depth_band, "not measured");
}

TEST(Replacements, RunFromStationToStationBeyondTheDefect) {
    OneLateral lateral({19.0, 18.8, 19.2});
    Belly belly;
    belly.from_m = 5.0;
    belly.to_m = 7.0;
    lateral.profiles.runs[0].bellies = {belly};
    lateral.lines.runs[0].points = {LinePoint{0.0, 0.0, {}, 0.0, {}},
                                    LinePoint{19.0, 19.0, {19.0, 0.0}, 0.0, {}}};
    lateral.lines.runs[0].scale = {1.0, 0.0};
    const auto note = [&](NoteCategory category, double x_m) {
        Note row;
        row.run = lateral.lines.runs[0].run.id;
        row.category = category;
        lateral.job.notes.push_back(row);
        lateral.site.notes.push_back(
            {static_cast<int>(lateral.job.notes.size()) - 1, 0, x_m, std::nullopt});
    };
    note(NoteCategory::root, 7.8);      // meets the belly's margin
    note(NoteCategory::fitting, 12.0);  // nothing wrong
    note(NoteCategory::crack, 18.9);    // ends with the pipe
    const Appraisal appraisal =
        appraise(lateral.job, lateral.site, lateral.lines, lateral.profiles);
    ASSERT_EQ(appraisal.replacements.size(), 2U);
    EXPECT_NEAR(appraisal.replacements[0].from_station_m, 4.5, 1e-9);
    EXPECT_NEAR(appraisal.replacements[0].to_station_m, 8.3, 1e-9);
    EXPECT_EQ(appraisal.replacements[0].why, "holds water; root");
    EXPECT_NEAR(appraisal.replacements[1].to_station_m, 19.0, 1e-9);
    EXPECT_EQ(appraisal.replacements[1].why, "crack");
}

// An empty `of` is the whole system: a sewer counts as well as the laterals, except in the length
// of the trenches.
TEST(Records, WithoutANameSpeakOfTheWholeSystem) {
    OneLateral lateral({19.0, 18.8, 19.2});
    SiteRun sewer;
    sewer.id.text = "BS";
    sewer.kind = RunKind::building_sewer;
    lateral.site.runs.push_back(sewer);
    AlignedRun aligned;
    aligned.run = sewer;
    aligned.length_m = figure(Bounded{10.0, 9.9, 10.1});
    lateral.lines.runs.push_back(aligned);
    GradedRun graded;
    graded.id = sewer.id;
    graded.min_cover_m = figure(Bounded{1.4, 1.3, 1.5});
    graded.max_cover_m = figure(Bounded{1.6, 1.5, 1.7});
    lateral.profiles.runs.push_back(graded);
    lateral.profiles.runs[0].min_cover_m = figure(Bounded{0.6, 0.5, 0.7});
    lateral.profiles.runs[0].max_cover_m = figure(Bounded{0.8, 0.7, 0.9});

    const RecordCheck length = lateral.check(RecordItem::run_length, 29.0);
    EXPECT_EQ(length.verdict, RecordVerdict::agrees);
    EXPECT_DOUBLE_EQ(length.measured->value, 29.0);
    EXPECT_NE(length.words.find("of the whole system"), std::string::npos) << length.words;
    const RecordCheck depth = lateral.check(RecordItem::depth, 1.6);
    EXPECT_EQ(depth.verdict, RecordVerdict::agrees);
    EXPECT_DOUBLE_EQ(depth.measured->hi95, 1.7);
    EXPECT_DOUBLE_EQ(lateral.check(RecordItem::total_trench_length, 19.0).measured->value, 19.0);
}

TEST(Records, DoNotCallMeasuredWhatWasOnlyStated) {
    OneLateral lateral({19.0, 18.8, 19.2});
    Structure tank;
    tank.kind = StructureKind::tank;
    tank.capacity_m3 = Cell<double>{3.785, {}};
    lateral.job.structures = {tank};
    const RecordCheck check = lateral.check(RecordItem::tank_capacity, 3.785);
    EXPECT_EQ(check.verdict, RecordVerdict::agrees_as_stated);
    EXPECT_NE(check.words.find("stated on site"), std::string::npos) << check.words;
    EXPECT_NE(lateral.check(RecordItem::number_of_laterals, 0.0).words.find("1 was found"),
              std::string::npos);
    lateral.site.runs.push_back(lateral.site.runs.front());
    EXPECT_NE(lateral.check(RecordItem::number_of_laterals, 3.0).words.find("only 2 were found"),
              std::string::npos);
}

// Shores each known within 0.4 m make the water between them, 2 m, uncertain by 0.4·√2 = 0.57 m,
// and what would be replaced with it.
TEST(Replacements, AreNoSurerThanTheEndsOfTheDefect) {
    OneLateral lateral({19.0, 18.8, 19.2});
    Belly belly;
    belly.from_m = 5.0;
    belly.to_m = 7.0;
    belly.from_bounds_m = Bounded{5.0, 4.6, 5.4};
    belly.to_bounds_m = Bounded{7.0, 6.6, 7.4};
    lateral.profiles.runs[0].bellies = {belly};
    lateral.lines.runs[0].scale = {1.0, 0.0};
    EXPECT_NEAR(belly.length_m().lo95, 2.0 - 0.5657, 1e-4);
    EXPECT_NEAR(belly.length_m().hi95, 2.0 + 0.5657, 1e-4);
    const Appraisal appraisal =
        appraise(lateral.job, lateral.site, lateral.lines, lateral.profiles);
    ASSERT_EQ(appraisal.replacements.size(), 1U);
    EXPECT_NEAR(appraisal.replacements[0].length_m.value, 3.0, 1e-9);
    EXPECT_NEAR(appraisal.replacements[0].length_m.lo95, 3.0 - 0.5657, 1e-2);
    EXPECT_NEAR(appraisal.replacements[0].length_m.hi95, 3.0 + 0.5657, 1e-2);
}

// The greatest depth of a stretch is at least that of its surest place, and may be that of its
// least sure one.
TEST(Replacements, AreAsDeepAsAnyPlaceOfThemMayBe) {
    OneLateral lateral({19.0, 18.8, 19.2});
    Belly belly;
    belly.from_m = 5.0;
    belly.to_m = 7.0;
    lateral.profiles.runs[0].bellies = {belly};
    lateral.lines.runs[0].scale = {1.0, 0.0};
    ProfilePoint sure;
    sure.station_m = 5.5;
    sure.cover_m = Bounded{1.00, 0.98, 1.02};
    ProfilePoint unsure;
    unsure.station_m = 6.5;
    unsure.cover_m = Bounded{0.99, 0.80, 1.20};
    lateral.profiles.runs[0].profile = {sure, unsure};
    const Appraisal appraisal =
        appraise(lateral.job, lateral.site, lateral.lines, lateral.profiles);
    ASSERT_EQ(appraisal.replacements.size(), 1U);
    EXPECT_DOUBLE_EQ(appraisal.replacements[0].depth_m->value, 1.00);
    EXPECT_DOUBLE_EQ(appraisal.replacements[0].depth_m->lo95, 0.98);
    EXPECT_DOUBLE_EQ(appraisal.replacements[0].depth_m->hi95, 1.20);
}

}  // namespace
}  // namespace sondeline
