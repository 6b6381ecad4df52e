#include <gtest/gtest.h>

#include "one_lateral.hpp"

namespace sondeline {
namespace {

using made::OneLateral;

TEST(Quantities, AddUpToTheRun) {
    OneLateral lateral({19.0, 18.8, 19.2});
    Stretch stretch;
    stretch.to_m = 7.3;
    lateral.profiles.runs[0].stretches = {stretch};
    const Appraisal appraisal = lateral.appraised();
    ASSERT_EQ(appraisal.quantities.size(), 2U);
    EXPECT_DOUBLE_EQ(
        appraisal.quantities[0].length_m.value + appraisal.quantities[1].length_m.value, 19.0);
    EXPECT_EQ(appraisal.quantities[0].depth_band, "not measured");
}

// A profile of one depth all along.
std::vector<ProfilePoint> buried(double depth_m, double length_m) {
    std::vector<ProfilePoint> profile;
    for (int i = 0; i <= 190; ++i) {
        ProfilePoint point;
        point.station_m = length_m * i / 190.0;
        point.cover_m = Bounded{depth_m, depth_m, depth_m};
        profile.push_back(point);
    }
    return profile;
}

// OSHA 29 CFR 1926.651(c)(2): a way out from 4 ft (1.2192 m); 1926.652(a)(1): protection from 5 ft
// (1.524 m).
TEST(Quantities, NameTheDepthBandByTheLimitsOfDigging) {
    OneLateral lateral({19.0, 18.8, 19.2});
    for (const auto& [depth_m, band] :
         {std::pair{1.0, "under 4.0 ft"}, std::pair{1.3, "4.0 to 5.0 ft"},
          std::pair{2.0, "5.0 to 9.8 ft"}, std::pair{3.5, "over 9.8 ft"}}) {
        lateral.profiles.runs[0].profile = buried(depth_m, 19.0);
        const Appraisal appraisal = lateral.appraised();
        ASSERT_EQ(appraisal.quantities.size(), 1U);
        EXPECT_EQ(appraisal.quantities[0].depth_band, band);
    }
}

// Trapezoid: (bottom + top)/2 · depth, with top = bottom + 2·s·depth. 0.6 m wide, 2 m deep, 1.5 to
// 1: (0.6 + 6.6)/2 · 2 = 7.2 m² of cross-section.
TEST(Quantities, DigWithTheWidthAndSlopeThatAreAsked) {
    OneLateral lateral({10.0, 9.9, 10.1});
    lateral.profiles.runs[0].profile = buried(2.0, 10.0);
    QuantityOptions options;
    options.trench_width_m = 0.6;
    options.side_slope = 1.5;
    options.band_limits_m = {1.8};
    const Appraisal appraisal = lateral.appraised(options);
    ASSERT_EQ(appraisal.quantities.size(), 1U);
    EXPECT_NEAR(appraisal.quantities[0].trench_volume_m3->value, 72.0, 1e-9);
    EXPECT_EQ(appraisal.quantities[0].depth_band, "over 5.9 ft");
}

// A depth of 1.45 m that may be 1.35 or 1.55 m lies on either side of 5 ft (1.524 m). Dug 0.6 m
// wide with vertical sides along 9.9 to 10.1 m, it is at least 0.6 · 1.35 · 9.9 and at most 0.6
// · 1.55 · 10.1 m³.
TEST(Quantities, NameEveryBandThatTheBoundsReachInto) {
    OneLateral lateral({10.0, 9.9, 10.1});
    lateral.profiles.runs[0].profile = buried(1.45, 10.0);
    for (ProfilePoint& point : lateral.profiles.runs[0].profile) {
        point.cover_m = Bounded{1.45, 1.35, 1.55};
    }
    QuantityOptions options;
    options.trench_width_m = 0.6;
    const Quantity row = lateral.appraised(options).quantities[0];
    EXPECT_EQ(row.depth_band, "4.0 to 5.0 ft");
    EXPECT_EQ(row.other_bands, "5.0 to 9.8 ft");
    EXPECT_NEAR(row.depth_m->lo95, 1.35, 1e-9);
    EXPECT_NEAR(row.depth_m->hi95, 1.55, 1e-9);
    EXPECT_NEAR(row.trench_volume_m3->lo95, 8.019, 1e-9);
    EXPECT_NEAR(row.trench_volume_m3->hi95, 9.393, 1e-9);
}

TEST(Quantities, DigNothingWhereTheDepthIsNotKnown) {
    OneLateral lateral({10.0, 9.9, 10.1});
    lateral.profiles.runs[0].profile = buried(2.0, 10.0);
    lateral.profiles.runs[0].profile[100].cover_m.reset();
    lateral.profiles.runs[0].profile[101].cover_m.reset();
    lateral.profiles.runs[0].profile[102].cover_m.reset();
    lateral.profiles.runs[0].profile[103].cover_m.reset();
    lateral.profiles.runs[0].profile[104].cover_m.reset();
    const Appraisal appraisal = lateral.appraised();
    EXPECT_FALSE(appraisal.quantities[0].trench_volume_m3.has_value());
    EXPECT_EQ(appraisal.quantities[0].depth_band, "not measured");
}

TEST(Quantities, EndWhereThePushStoppedAndSayThatThePipeGoesOn) {
    OneLateral lateral({19.0, 18.8, 19.2});
    Stretch stretch;
    stretch.to_m = 7.3;
    lateral.profiles.runs[0].stretches = {stretch};
    lateral.lines.runs[0].stops_short = true;
    const std::vector<Quantity> rows = lateral.appraised().quantities;
    ASSERT_EQ(rows.size(), 2U);
    EXPECT_EQ(rows[0].condition, "no defect noted");
    EXPECT_EQ(rows[1].condition, "not measured to its far end");
    EXPECT_EQ(rows[1].to_id, "62.3 ft");  // 19 m / 0.3048
}

TEST(Quantities, CallAnEndBlindOnlyWhereSomethingTellsIt) {
    OneLateral lateral({19.0, 18.8, 19.2});
    EXPECT_EQ(lateral.appraised().quantities.at(0).to_id, "blind end");
    lateral.lines.runs[0].run.end_told = false;
    EXPECT_EQ(lateral.appraised().quantities.at(0).to_id, "end not told");
}

}  // namespace
}  // namespace sondeline
