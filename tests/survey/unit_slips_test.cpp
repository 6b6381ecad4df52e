#include "survey/unit_slips.hpp"

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

    Findings told() const {
        Findings findings;
        tell_unit_slips(job, fixes, LengthUnit::foot, findings);
        return findings;
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
    EXPECT_DOUBLE_EQ(depths.fixes[2].depth_m->value, 30.0 * foot);
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
