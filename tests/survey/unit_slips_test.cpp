#include "survey/unit_slips.hpp"

#include <algorithm>

#include <gtest/gtest.h>

namespace sondeline {
namespace {

constexpr double foot = 0.3048;

// Runs A and B, with the depths of their fixes in feet as typed.
struct Depths {
    Job job;
    std::vector<SiteFix> fixes;

    void run(const std::vector<double>& depths_ft) {
        Run made;
        made.id.text = std::string(1, static_cast<char>('A' + job.runs.size()));
        job.runs.push_back(made);
        for (const double depth : depths_ft) {
            SiteFix fix;
            fix.id = "F" + std::to_string(fixes.size() + 1);
            fix.run = static_cast<int>(job.runs.size()) - 1;
            fix.depth_m = Estimate{depth * foot, 0.05};
            fixes.push_back(fix);
        }
    }

    Findings told() {
        Findings findings;
        leave_out_unit_slips(job, LengthUnit::foot, fixes, findings);
        return findings;
    }

    int used() const {
        return static_cast<int>(std::ranges::count_if(
            fixes, [](const SiteFix& fix) { return fix.depth_m.has_value(); }));
    }
};

TEST(UnitSlips, NamesTheFixWhoseInchesWereEnteredAsFeet) {
    Depths depths;
    depths.run({2.5, 2.6, 30.0, 2.8});
    depths.run({2.9, 3.0});
    const Findings findings = depths.told();
    ASSERT_EQ(findings.size(), 1u);
    EXPECT_NE(findings[0].what.find("F3"), std::string::npos);
    EXPECT_NE(findings[0].what.find("inches taken for feet"), std::string::npos);
}

// 6 m, 19.7 ft: deeper than the transmitter of a push camera is located (common practice, no
// source).
TEST(UnitSlips, LeaveOutWhatLiesDeeperThanAnythingIsLocated) {
    Depths fix;
    fix.run({2.5, 2.6, 30.0, 2.8});
    EXPECT_EQ(fix.told().at(0).consequence, Consequence::input_rejected);
    EXPECT_EQ(fix.used(), 3);
    EXPECT_FALSE(fix.fixes[2].depth_m.has_value());
    Depths run;
    run.run({2.5, 2.6, 2.8, 3.0});
    run.run({29.0, 31.0, 34.0});
    EXPECT_EQ(run.told().at(0).consequence, Consequence::input_rejected);
    EXPECT_EQ(run.used(), 4);
    Depths job;
    job.run({24.0, 30.0, 36.0});
    EXPECT_EQ(job.told().at(0).severity, Severity::problem);
    EXPECT_EQ(job.used(), 0);
}

TEST(UnitSlips, OfAWholeJobAreToldThoughOnePlaceIsShallow) {
    Depths inches;
    inches.run({26.4, 24.8, 26.7, 28.5});
    inches.run({27.5, 24.4, 20.5, 15.2});  // 15.2 ft, 4.6 m, could be located
    const Findings findings = inches.told();
    ASSERT_EQ(findings.size(), 1u);
    EXPECT_NE(findings[0].what.find("Most depths are over"), std::string::npos);
    EXPECT_EQ(inches.used(), 0);
    Depths mixed;  // one run in feet stays
    mixed.run({26.4, 24.8, 26.7, 28.5, 26.0});
    mixed.run({2.2, 2.0, 2.1});
    mixed.told();
    EXPECT_EQ(mixed.used(), 3);
}

TEST(UnitSlips, AreToldByTheInvertsTapedOnTheSameRuns) {
    Depths depths;
    depths.run({8.2, 8.4, 8.6});  // 2.5 to 2.6 ft, read as metres
    depths.run({9.2, 9.3, 9.4});
    depths.run({8.0, 8.3});  // without tapes
    const auto tape = [&](std::size_t run, double depth_ft) {
        depths.job.runs[run].start_invert_depth_m = Cell<double>{depth_ft * foot, {}};
    };
    tape(0, 2.5);
    EXPECT_TRUE(depths.told().empty());  // one run alone may dive
    tape(1, 2.8);
    Findings findings;
    EXPECT_EQ(leave_out_unit_slips(depths.job, LengthUnit::foot, depths.fixes, findings),
              (std::vector<int>{0, 1}));
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_EQ(findings[0].consequence, Consequence::input_rejected);
    EXPECT_NE(findings[0].what.find("the depths look to be in feet"), std::string::npos);
    EXPECT_EQ(depths.used(), 2);
}

TEST(UnitSlips, LeaveInUseWhatMayBeADeepPipe) {
    Depths depths;
    depths.run({1.5, 1.6, 1.7, 1.8});
    depths.run({14.0, 14.5, 15.0});
    EXPECT_EQ(depths.told().at(0).consequence, Consequence::none);
    EXPECT_EQ(depths.used(), 7);
}

TEST(UnitSlips, NamesTheRunWhoseInchesWereEnteredAsFeetOnce) {
    Depths depths;
    depths.run({2.5, 2.6, 2.8, 3.0});
    depths.run({29.0, 31.0, 34.0});
    const Findings findings = depths.told();
    ASSERT_EQ(findings.size(), 1u);
    EXPECT_EQ(findings[0].where.run, "B");
}

TEST(UnitSlips, NamesTheRunWhoseFeetWereTakenForInchesAndNotTheOthers) {
    Depths depths;
    depths.run({2.5, 2.6, 2.8});
    depths.run({2.4 / 12.0, 2.5 / 12.0, 2.7 / 12.0});
    const Findings findings = depths.told();
    ASSERT_EQ(findings.size(), 1u);
    EXPECT_EQ(findings[0].where.run, "B");
    EXPECT_NE(findings[0].what.find("feet taken for inches"), std::string::npos);
}

TEST(UnitSlips, NamesAWholeJobInInches) {
    Depths depths;
    depths.run({24.0, 30.0, 36.0});
    const Findings findings = depths.told();
    ASSERT_EQ(findings.size(), 1u);
    EXPECT_NE(findings[0].what.find("look like inches"), std::string::npos);
}

TEST(UnitSlips, LeavesASteepRunAlone) {
    Depths depths;
    depths.run({1.5, 2.5, 4.0, 6.0});
    depths.run({6.0, 8.0});
    EXPECT_TRUE(depths.told().empty());
}

}  // namespace
}  // namespace sondeline
