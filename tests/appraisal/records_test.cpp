#include <gtest/gtest.h>

#include "one_lateral.hpp"

namespace sondeline {
namespace {

using made::OneLateral;

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

}  // namespace
}  // namespace sondeline
