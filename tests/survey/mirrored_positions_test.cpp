#include "survey/mirrored_positions.hpp"

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

// Two runs of six fixes each, that lie at these directions on the map and read these headings.
struct Surveyed {
    std::vector<SiteStructure> structures{2};
    std::vector<SiteFix> fixes;
    std::vector<TieObservation> ties{1};
    Findings findings;

    Surveyed() { structures[0].surveyed = PlanFix{{0.0, 0.0}, {0.01, 0.0, 0.01}}; }

    Surveyed& run(double on_map_deg, double read_deg) {
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
        return *this;
    }

    bool positions_left_out() {
        leave_out_mirrored_positions(structures, fixes, ties, findings);
        return !fixes.front().position && !structures[0].surveyed && ties.empty() &&
               findings.size() == 1 && findings[0].consequence == Consequence::input_rejected;
    }
};

TEST(MirroredPositions, OfLongitudesWithoutTheirSignAreNotUsed) {
    Surveyed site;
    EXPECT_TRUE(site.run(240.0, 120.0).run(-150.0, 150.0).positions_left_out());
    EXPECT_THAT(site.findings[0].what, HasSubstr("12 of 12 headings"));
    EXPECT_THAT(site.findings[0].what_to_do, HasSubstr("sign of the longitudes"));
}

TEST(MirroredPositions, OfEastingAndNorthingExchangedAreNotUsed) {
    Surveyed site;
    EXPECT_TRUE(site.run(90.0 - 10.0, 10.0).run(90.0 - 70.0, 70.0).positions_left_out());
    EXPECT_THAT(site.findings[0].what_to_do, HasSubstr("x is the easting"));
}

TEST(MirroredPositions, AreNotSeenOnAMapThatIsRight) {
    Surveyed site;
    EXPECT_FALSE(site.run(120.0, 120.0).run(150.0, 150.0).positions_left_out());
    EXPECT_TRUE(site.findings.empty());
    EXPECT_TRUE(site.fixes.front().position.has_value());
}

TEST(MirroredPositions, AreNotSeenWhereOneRunHasAWrongCompass) {
    Surveyed site;
    EXPECT_FALSE(site.run(120.0, 120.0).run(150.0, 150.0).run(30.0, -30.0).positions_left_out());
}

TEST(MirroredPositions, AreNotSeenWhereTheCompassIsWrongThroughout) {
    Surveyed site;
    EXPECT_FALSE(site.run(120.0, 80.0).run(20.0, -20.0).positions_left_out());
}

TEST(MirroredPositions, CannotBeToldOfPipesThatLieAlongTheMirror) {
    Surveyed site;
    EXPECT_FALSE(site.run(90.0, 90.0).run(180.0, 0.0).positions_left_out());
}

}  // namespace
}  // namespace sondeline
