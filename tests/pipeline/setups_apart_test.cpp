#include "pipeline/setups_apart.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace sondeline {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

LevelReading row(const char* setup, const char* point) {
    return {setup, point, std::nullopt, 1.5, std::nullopt, {}};
}

// A box read from setup 1, a lateral whose fixes were read from setup `fixes_from`.
struct Day {
    Job job;
    Site site;
    HeightsNotUsed not_used{{0}, {}, {}};

    explicit Day(const char* fixes_from) {
        job.levels = {row("1", "box"), row("1", "TP1"), row("2", "TP1"), row(fixes_from, "F1"),
                      row(fixes_from, "F2")};
        site.structures.emplace_back();
        site.structures.back().id.text = "box";
        site.runs.emplace_back();
        site.runs.back().id.text = "L1";
        site.runs.back().from = 0;
        for (const char* id : {"F1", "F2"}) {
            site.fixes.emplace_back();
            site.fixes.back().id = id;
            site.fixes.back().run = 0;
        }
    }
};

TEST(SetupsApart, MayMakeTheHeightOfAStructureLookWrong) {
    const Day day("2");
    const Findings findings = tell_setups_apart(day.job, day.site, day.not_used);
    ASSERT_THAT(findings, SizeIs(1));
    EXPECT_EQ(findings[0].where.structure, "box");
    EXPECT_THAT(findings[0].what,
                HasSubstr("box was read from setup 1, the fixes along L1 from setup 2"));
    EXPECT_THAT(findings[0].what, HasSubstr("(TP1)"));
}

TEST(SetupsApart, AreNotToldWhereTheFixesWereReadFromTheSameOne) {
    const Day day("1");
    EXPECT_THAT(tell_setups_apart(day.job, day.site, day.not_used), IsEmpty());
}

TEST(SetupsApart, AreNotToldOfHeightsThatWereUsed) {
    const Day day("2");
    EXPECT_THAT(tell_setups_apart(day.job, day.site, {}), IsEmpty());
}

TEST(SetupsApart, AreToldOfARunThatComesInAndOfNoneThatIsElsewhere) {
    Day day("2");
    day.site.runs[0].from.reset();
    day.site.runs[0].to = 0;
    EXPECT_THAT(tell_setups_apart(day.job, day.site, day.not_used), SizeIs(1));
    day.site.runs[0].to = 1;
    EXPECT_THAT(tell_setups_apart(day.job, day.site, day.not_used), IsEmpty());
}

TEST(SetupsApart, AreNotToldWhereNothingWasReadOfTheStructureOrOfTheFixes) {
    Day no_fixes("2");
    no_fixes.site.fixes.clear();
    EXPECT_THAT(tell_setups_apart(no_fixes.job, no_fixes.site, no_fixes.not_used), IsEmpty());
    Day no_box("2");
    no_box.job.levels.erase(no_box.job.levels.begin());
    EXPECT_THAT(tell_setups_apart(no_box.job, no_box.site, no_box.not_used), IsEmpty());
}

TEST(SetupsApart, NameNoPointWhereNoneJoinsThem) {
    Day day("3");
    const Findings findings = tell_setups_apart(day.job, day.site, day.not_used);
    ASSERT_THAT(findings, SizeIs(1));
    EXPECT_THAT(findings[0].what, HasSubstr("where the setups join would look"));
}

}  // namespace
}  // namespace sondeline
