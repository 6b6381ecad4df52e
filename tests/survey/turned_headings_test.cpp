#include "survey/turned_headings.hpp"

#include <array>
#include <cmath>
#include <numbers>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace sondeline {
namespace {

using testing::HasSubstr;

constexpr double degree_rad = std::numbers::pi / 180.0;
// What a locator's heading may be off by.
constexpr std::array wander_deg = {3.0, -5.0, 1.0, 6.0, -2.0, -4.0};

// A run of six fixes that lies at one direction on the map and reads another.
void add_run(double on_map_deg, double read_deg, std::vector<SiteFix>& fixes) {
    const int index = fixes.empty() ? 0 : fixes.back().run + 1;
    for (std::size_t i = 0; i < wander_deg.size(); ++i) {
        SiteFix fix;
        fix.run = index;
        fix.placing = FixPlacing::by_counter;
        fix.x_m = 2.0 * static_cast<double>(i);
        fix.position = PlanFix{{fix.x_m * std::sin(on_map_deg * degree_rad),
                                fix.x_m * std::cos(on_map_deg * degree_rad)},
                               {0.01, 0.0, 0.01}};
        fix.heading = axial((read_deg + wander_deg[i]) * degree_rad);
        fixes.push_back(fix);
    }
}

TEST(TurnedHeadings, AreToldInOneFindingWithTheirTurnAndNotUsed) {
    std::vector<SiteFix> fixes;
    add_run(170.0, 135.0, fixes);
    add_run(96.0, 61.0, fixes);
    add_run(10.0, 155.0, fixes);  // 335, either way
    Findings findings;
    leave_out_turned_headings(fixes, findings);
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_THAT(findings[0].what, HasSubstr("18 of 18 headings"));
    EXPECT_THAT(findings[0].what, HasSubstr("35° counter-clockwise"));
    EXPECT_EQ(findings[0].consequence, Consequence::input_rejected);
    for (const SiteFix& fix : fixes) EXPECT_FALSE(fix.heading.has_value());
}

TEST(TurnedHeadings, AreNotSeenWhereTheyLieAlongThePipesOrOnlyOneRunIsOff) {
    std::vector<SiteFix> fixes;
    add_run(170.0, 173.0, fixes);
    add_run(96.0, 92.0, fixes);
    Findings findings;
    leave_out_turned_headings(fixes, findings);
    EXPECT_TRUE(findings.empty());
    add_run(30.0, 65.0, fixes);
    leave_out_turned_headings(fixes, findings);
    EXPECT_TRUE(findings.empty());
    EXPECT_TRUE(fixes.front().heading.has_value());
}

TEST(TurnedHeadings, AreNotJudgedByFiveFixes) {
    std::vector<SiteFix> fixes;
    add_run(170.0, 135.0, fixes);
    fixes.pop_back();
    Findings findings;
    leave_out_turned_headings(fixes, findings);
    EXPECT_TRUE(findings.empty());
}

}  // namespace
}  // namespace sondeline
