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

// 62.3 ft are 18.99 m (the international foot is 0.3048 m exactly: NIST SP 811).
TEST(Records, AreNotCalledWrongWhenTheirUnitLooksWrong) {
    OneLateral lateral({19.0, 18.8, 19.2});
    const RecordCheck feet = lateral.check(RecordItem::run_length, 62.3);
    EXPECT_EQ(feet.verdict, RecordVerdict::cannot_tell);
    EXPECT_EQ(feet.likelier_unit, "ft");
    EXPECT_NE(feet.words.find("With its figure in ft they would agree"), std::string::npos);
    const RecordCheck metres = lateral.check(RecordItem::total_trench_length, 18.99 * 0.3048);
    EXPECT_EQ(metres.verdict, RecordVerdict::cannot_tell);
    EXPECT_EQ(metres.likelier_unit, "m");
    const Findings findings = lateral.appraised().findings;
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_EQ(findings[0].where.column, "unit");
}

TEST(Records, AreLookedAtInAnotherUnitOnlyWhereTheMeasurementIsSharp) {
    OneLateral sharp({19.0, 18.8, 19.2});
    EXPECT_EQ(sharp.check(RecordItem::run_length, 52.0).verdict, RecordVerdict::short_of);
    OneLateral loose({19.0, 17.0, 21.0});
    EXPECT_EQ(loose.check(RecordItem::run_length, 62.3).verdict, RecordVerdict::short_of);
}

RecordClaim length_claim(double value_m) {
    RecordClaim claim;
    claim.item = RecordItem::run_length;
    claim.value = value_m;
    return claim;
}

TEST(Records, OfAPaperThatAgreesElsewhereAreTakenInTheirUnit) {
    OneLateral lateral({19.0, 18.8, 19.2});
    lateral.job.records = {length_claim(19.0), length_claim(62.3)};
    const std::vector<RecordCheck> checks = lateral.appraised().records;
    EXPECT_EQ(checks[1].verdict, RecordVerdict::short_of);
    EXPECT_TRUE(checks[1].likelier_unit.empty());
}

TEST(Records, ByKindWaitUntilTheKindOfEveryRunIsSettled) {
    OneLateral lateral({19.0, 18.8, 19.2});
    SiteRun other = lateral.site.runs[0];
    other.id.text = "L2";
    other.kind = RunKind::building_sewer;
    other.kind_doubt = "box is a distribution box";
    lateral.site.runs.push_back(other);
    AlignedRun aligned = lateral.lines.runs[0];
    aligned.run = other;
    lateral.lines.runs.push_back(aligned);
    lateral.profiles.runs.push_back(lateral.profiles.runs[0]);
    for (const RecordItem item :
         {RecordItem::total_trench_length, RecordItem::number_of_laterals}) {
        const RecordCheck check = lateral.check(item, 50.0);
        EXPECT_EQ(check.verdict, RecordVerdict::cannot_tell);
        EXPECT_NE(check.words.find("whether run L2 counts"), std::string::npos) << check.words;
    }
    EXPECT_EQ(lateral.check(RecordItem::run_length, 38.0).verdict, RecordVerdict::agrees);
}

TEST(Records, OfAPaperInAnotherUnitAllWait) {
    OneLateral lateral({19.0, 18.8, 19.2});
    RecordClaim elsewhere = length_claim(180.0);
    elsewhere.document = "another paper";
    lateral.job.records = {length_claim(62.3), length_claim(180.0), elsewhere};
    const std::vector<RecordCheck> checks = lateral.appraised().records;
    EXPECT_EQ(checks[1].verdict, RecordVerdict::cannot_tell);
    EXPECT_NE(checks[1].words.find("Another length of this paper"), std::string::npos);
    EXPECT_EQ(checks[2].verdict, RecordVerdict::short_of);
}

TEST(Records, DoNotCountRunsWhoseKindNobodySaid) {
    OneLateral lateral({19.0, 18.8, 19.2});
    lateral.site.runs[0].kind = RunKind::other;
    const RecordCheck check = lateral.check(RecordItem::number_of_laterals, 1.0);
    EXPECT_EQ(check.verdict, RecordVerdict::cannot_tell);
    EXPECT_NE(check.words.find("whether run L1 counts"), std::string::npos) << check.words;
}

TEST(Records, CountOnWhereARunIsSaidToBeOfAnotherKind) {
    OneLateral lateral({19.0, 18.8, 19.2});
    SiteRun drain;
    drain.id.text = "roof drain";
    sondeline::Run typed;
    typed.id = drain.id;
    typed.kind_said = true;
    lateral.site.runs.push_back(drain);
    lateral.job.runs.push_back(typed);
    EXPECT_EQ(lateral.check(RecordItem::number_of_laterals, 1.0).verdict, RecordVerdict::agrees);
}

// What lies beyond a break was not seen: the pipe may be as long as the paper says.
TEST(Records, OfAPipeSeenInPartAreNeverFoundShortOrRight) {
    OneLateral lateral({19.0, 18.8, 19.2});
    lateral.lines.runs[0].stops_short = true;
    for (const double claimed_m : {19.0, 40.0}) {
        const RecordCheck check = lateral.check(RecordItem::total_trench_length, claimed_m);
        EXPECT_EQ(check.verdict, RecordVerdict::cannot_tell);
        EXPECT_NE(check.words.find("the push of L1 stopped short"), std::string::npos)
            << check.words;
        EXPECT_NE(check.words.find("nothing is said of more or less"), std::string::npos);
    }
    const RecordCheck check = lateral.check(RecordItem::run_length, 15.0);
    EXPECT_EQ(check.verdict, RecordVerdict::longer);
    EXPECT_NE(check.words.find("with what lies beyond it is more"), std::string::npos);
}

TEST(Records, CountAPipeSeenInPart) {
    OneLateral lateral({19.0, 18.8, 19.2});
    lateral.lines.runs[0].stops_short = true;
    const RecordCheck check = lateral.check(RecordItem::number_of_laterals, 1.0);
    EXPECT_EQ(check.verdict, RecordVerdict::agrees);
    EXPECT_EQ(check.words.find("stopped short"), std::string::npos) << check.words;
}

TEST(Records, AreNotFoundShortByAPipeWhoseEndNothingTells) {
    OneLateral lateral({19.0, 18.8, 19.2});
    lateral.lines.runs[0].run.end_told = false;
    const RecordCheck check = lateral.check(RecordItem::total_trench_length, 40.0);
    EXPECT_EQ(check.verdict, RecordVerdict::cannot_tell);
    EXPECT_NE(check.words.find("nothing tells that L1 ends where its footage does"),
              std::string::npos)
        << check.words;
    EXPECT_EQ(lateral.check(RecordItem::total_trench_length, 19.0).verdict, RecordVerdict::agrees);
    EXPECT_EQ(lateral.check(RecordItem::total_trench_length, 15.0).verdict, RecordVerdict::longer);
}

}  // namespace
}  // namespace sondeline
