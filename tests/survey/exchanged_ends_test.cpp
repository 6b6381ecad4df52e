#include "survey/exchanged_ends.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace sondeline {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

constexpr double length_m = 20.0;

// A straight run of 20 m from a tank to a box, a fix every 4 m.
struct Pushed {
    Job job;
    std::vector<ReelReading> reels{1};
    std::vector<SiteStructure> structures{2};
    std::vector<SiteFix> fixes;
    Findings findings;

    Pushed(const char* from, const char* to) {
        job.runs.emplace_back().id = {"EL"};
        job.runs[0].from = StructureId{from};
        job.runs[0].to = StructureId{to};
        job.runs[0].source = {"runs.csv", 3, ""};
        reels[0].length_m = figure(length_m);
        structures[0].id = {"tank"};
        structures[0].surveyed = PlanFix{{0.0, 0.0}, {0.01, 0.0, 0.01}};
        structures[1].id = {"box"};
        structures[1].surveyed = PlanFix{{length_m, 0.2}, {0.01, 0.0, 0.01}};
        for (double x_m = 2.0; x_m < length_m; x_m += 4.0) {
            SiteFix fix;
            fix.run = 0;
            fix.placing = FixPlacing::by_counter;
            fix.x_m = x_m;
            fix.position = PlanFix{{x_m, 0.1}, {0.01, 0.0, 0.01}};
            fixes.push_back(fix);
        }
    }

    Findings& told() {
        const auto runs = leave_out_exchanged_ends(job, reels, structures, fixes, findings);
        EXPECT_EQ(runs.size(), findings.size());
        return findings;
    }
};

TEST(ExchangedEnds, AreToldInOneFindingAndTheFixesAreLeftUnplaced) {
    Pushed run("box", "tank");
    ASSERT_THAT(run.told(), SizeIs(1));
    EXPECT_EQ(describe(run.findings[0].where), "runs.csv row 3 column from, to, run EL");
    EXPECT_THAT(run.findings[0].what, HasSubstr("fit a push from tank to box"));
    EXPECT_EQ(run.findings[0].consequence, Consequence::input_rejected);
    for (const SiteFix& fix : run.fixes) EXPECT_EQ(fix.placing, FixPlacing::unplaced);
}

TEST(ExchangedEnds, AreNotSeenWhereTheTableIsRight) {
    EXPECT_THAT(Pushed("tank", "box").told(), IsEmpty());
}

TEST(ExchangedEnds, AreNotSeenWhereOneFixIsWrong) {
    Pushed run("tank", "box");
    run.fixes[1].x_m = 18.0;
    EXPECT_THAT(run.told(), IsEmpty());
}

// Round a corner and back, every place is nearer to both ends than the counter says.
TEST(ExchangedEnds, CannotBeToldOfARunThatComesBack) {
    Pushed run("box", "tank");
    run.structures[1].surveyed->at = {1.0, 1.0};
    for (SiteFix& fix : run.fixes) {
        if (fix.x_m > length_m / 2.0) fix.position->at.e_m = length_m - fix.x_m;
    }
    EXPECT_THAT(run.told(), IsEmpty());
}

}  // namespace
}  // namespace sondeline
