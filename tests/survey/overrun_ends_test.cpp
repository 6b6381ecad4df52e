#include "survey/overrun_ends.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace sondeline {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

constexpr double accuracy_m = 0.1;

PlanFix at(double e_m, double n_m) {
    return {{e_m, n_m}, {accuracy_m * accuracy_m, 0.0, accuracy_m * accuracy_m}};
}

// A straight run of 10 m to a tank, fixes at 4 m and 8 m, and a tape in the tank.
struct Day {
    std::vector<SiteStructure> structures;
    std::vector<SiteFix> fixes;
    std::vector<SiteRun> runs;
    Findings findings;

    explicit Day(double counter_m) {
        structures.emplace_back();
        structures.back().id.text = "tank";
        structures.back().surveyed = at(10.0, 0.0);
        runs.emplace_back();
        runs.back().id.text = "BS";
        runs.back().to = 0;
        runs.back().counter_length_m = figure(counter_m);
        VerticalObservation tape;
        tape.kind = VerticalKind::taped_end;
        runs.back().vertical.push_back(tape);
        for (const double x_m : {4.0, 8.0}) fix(x_m, at(x_m, 0.0));
    }

    void fix(double x_m, const PlanFix& position) {
        SiteFix fix;
        fix.id = "F" + std::to_string(fixes.size() + 1);
        fix.run = 0;
        fix.placing = FixPlacing::by_counter;
        fix.x_m = x_m;
        fix.position = position;
        fixes.push_back(fix);
    }

    void look() { withhold_overrun_lengths(LengthUnit::metre, structures, fixes, runs, findings); }
};

TEST(OverrunEnds, WithholdTheLengthAndTheTapeThere) {
    Day day(17.6);
    day.look();
    EXPECT_FALSE(day.runs[0].counter_length_m);
    EXPECT_THAT(day.runs[0].vertical, IsEmpty());
    ASSERT_THAT(day.findings, SizeIs(1));
    EXPECT_THAT(day.findings[0].what, HasSubstr("From F2 to the end of the footage"));
    EXPECT_THAT(day.findings[0].what, HasSubstr("9.6 m, but tank lies only 2.0 m from F2"));
}

// A pipe that goes round by two quarter bends: 6 m for 2 m of straight way.
TEST(OverrunEnds, LetAPipeGoRoundACorner) {
    Day day(14.0);
    day.look();
    EXPECT_TRUE(day.runs[0].counter_length_m);
    EXPECT_THAT(day.findings, IsEmpty());
}

TEST(OverrunEnds, AreNotToldByTheLastFixAlone) {
    Day day(24.0);
    day.structures[0].surveyed = at(22.0, 0.0);
    // Read 10 m too early on the counter.
    day.fixes[1].position = at(20.0, 0.0);
    day.look();
    EXPECT_TRUE(day.runs[0].counter_length_m);
}

TEST(OverrunEnds, AreOfNoMatterWhereThePushStoppedShort) {
    Day day(17.6);
    day.runs[0].stops_short = true;
    day.look();
    EXPECT_TRUE(day.runs[0].counter_length_m);
}

}  // namespace
}  // namespace sondeline
