#include "survey/sticks.hpp"

#include <gtest/gtest.h>

#include "survey/made_reel.hpp"

namespace sondeline {
namespace {

constexpr double foot_m = 0.3048;

struct Joints {
    Run run;
    JoinedTrack track = made::pushed_between(0.0, 60.0);
    Findings findings;

    Joints(double stick_m, std::optional<Estimate> spacing_ft) {
        run.id.text = "L1";
        run.source = {"runs.csv", 2, ""};
        run.stick_length_m = Cell<double>{stick_m, {"runs.csv", 2, "stick length"}};
        track.joint_spacing = spacing_ft;
    }
    std::optional<Estimate> scale() {
        const ReelReading reel = made::reel_in(LengthUnit::foot, track);
        return scale_by_sticks(run, reel, LengthUnit::foot, findings);
    }
};

TEST(ScaleBySticks, IsTheLengthOfAStickOverTheSpacingOfJoints) {
    Joints seen(10.0 * foot_m, Estimate{10.2, 0.01});
    const auto scale = seen.scale();
    ASSERT_TRUE(scale);
    EXPECT_NEAR(scale->value, 10.0 / 10.2, 1e-12);
    EXPECT_GT(scale->sd, 0.002);  // how far a pipe is pushed home is not seen
    EXPECT_LT(scale->sd, 0.006);
    ASSERT_EQ(seen.findings.size(), 1U);
    EXPECT_NE(seen.findings[0].what.find("2.0 % too much"), std::string::npos)
        << seen.findings[0].what;
    EXPECT_NE(seen.findings[0].what.find("10.20 ft (within 0.02 ft)"), std::string::npos);
    EXPECT_EQ(seen.findings[0].severity, Severity::info);
}

TEST(ScaleBySticks, CountsTheJointsBetweenThoseThatAreSeen) {
    Joints seen(5.0 * foot_m, Estimate{9.8, 0.01});
    const auto scale = seen.scale();
    ASSERT_TRUE(scale);
    EXPECT_NEAR(scale->value, 10.0 / 9.8, 1e-12);
    EXPECT_NE(seen.findings[0].what.find("2 sticks"), std::string::npos);
    EXPECT_NE(seen.findings[0].what.find("too little"), std::string::npos);
}

TEST(ScaleBySticks, IsNotTakenFromASpacingThatIsNoWholeNumberOfSticks) {
    Joints seen(10.0 * foot_m, Estimate{13.0, 0.01});
    EXPECT_FALSE(seen.scale());
    ASSERT_EQ(seen.findings.size(), 1U);
    EXPECT_EQ(seen.findings[0].severity, Severity::caution);
    EXPECT_EQ(seen.findings[0].where.row, 2);
    EXPECT_EQ(seen.findings[0].where.column, "stick length");
    EXPECT_FALSE(seen.findings[0].what_to_do.empty());
}

TEST(ScaleBySticks, SaysWhereNoJointsAreSeen) {
    Joints seen(10.0 * foot_m, std::nullopt);
    EXPECT_FALSE(seen.scale());
    ASSERT_EQ(seen.findings.size(), 1U);
    EXPECT_NE(seen.findings[0].what.find("No even row of joints"), std::string::npos);
}

TEST(ScaleBySticks, SaysNothingWhereNobodyTypedALength) {
    Joints seen(1.0, Estimate{10.2, 0.01});
    seen.run.stick_length_m.reset();
    EXPECT_FALSE(seen.scale());
    EXPECT_TRUE(seen.findings.empty());
}

}  // namespace
}  // namespace sondeline
