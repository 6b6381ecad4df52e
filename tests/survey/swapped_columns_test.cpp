#include "survey/swapped_columns.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

namespace sondeline {
namespace {

constexpr double degree_rad = std::numbers::pi / 180.0;
constexpr double inch_m = 0.0254;

// A run that lies at `direction_deg`, a fix every 2 m with what was typed under depth (in) and
// under heading.
struct Fixes {
    Job job;
    SiteFrame frame;
    std::vector<SiteFix> placed;
    Findings findings;

    Fixes(double direction_deg, std::vector<std::pair<double, double>> depths_and_headings) {
        frame.grid_from_job_rad = 0.0;
        job.runs.emplace_back();
        for (const auto& [depth_in, heading_deg] : depths_and_headings) {
            SiteFix fix;
            fix.run = 0;
            fix.placing = FixPlacing::by_counter;
            fix.x_m = 2.0 * static_cast<double>(placed.size());
            fix.position = PlanFix{{fix.x_m * std::sin(direction_deg * degree_rad),
                                    fix.x_m * std::cos(direction_deg * degree_rad)},
                                   {0.01, 0.0, 0.01}};
            fix.depth_m = Estimate{depth_in * inch_m, 0.05};
            fix.heading = axial(heading_deg * degree_rad);
            placed.push_back(fix);
            job.fixes.emplace_back().source = {"fixes.csv", static_cast<int>(placed.size()) + 1,
                                               ""};
        }
        leave_out_swapped_columns(job, frame, placed, findings);
    }
};

TEST(SwappedColumns, AreToldInOneFindingAndNotUsed) {
    const Fixes fixes(120.0, {{118, 29}, {125, 30}, {121, 28}, {117, 33}, {122, 31}, {119, 26}});
    ASSERT_EQ(fixes.findings.size(), 1u);
    EXPECT_EQ(fixes.findings[0].where.file, "fixes.csv");
    EXPECT_EQ(fixes.findings[0].where.row, 0);
    EXPECT_EQ(fixes.findings[0].consequence, Consequence::input_rejected);
    EXPECT_NE(fixes.findings[0].what.find("only 0 of 6 headings"), std::string::npos);
    for (const SiteFix& fix : fixes.placed) {
        EXPECT_FALSE(fix.depth_m.has_value());
        EXPECT_FALSE(fix.heading.has_value());
    }
}

TEST(SwappedColumns, AreNotSeenInATableThatIsRight) {
    const Fixes fixes(120.0, {{29, 118}, {30, 125}, {28, 121}, {33, 117}, {31, 122}, {26, 119}});
    EXPECT_TRUE(fixes.findings.empty());
    EXPECT_TRUE(fixes.placed[0].depth_m.has_value());
}

TEST(SwappedColumns, AreNotSeenWhereDepthsHappenToEqualTheDirectionOfThePipe) {
    const Fixes fixes(30.0, {{29, 32}, {30, 28}, {28, 31}, {33, 27}, {31, 30}, {26, 33}});
    EXPECT_TRUE(fixes.findings.empty());
}

TEST(SwappedColumns, AreNotSeenWhereTheCompassIsWrongThroughout) {
    const Fixes fixes(120.0, {{29, 75}, {30, 78}, {28, 71}, {33, 77}, {31, 72}, {26, 79}});
    EXPECT_TRUE(fixes.findings.empty());
}

TEST(SwappedColumns, AreNotJudgedByFourFixes) {
    const Fixes fixes(120.0, {{118, 29}, {125, 30}, {121, 28}, {117, 33}});
    EXPECT_TRUE(fixes.findings.empty());
}

}  // namespace
}  // namespace sondeline
