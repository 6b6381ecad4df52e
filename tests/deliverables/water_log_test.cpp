#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "sondeline/deliverables.hpp"

namespace sondeline {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

Track with_water(bool pushing, bool retrieving) {
    Track track;
    track.clip.name = "a.mp4";
    track.water.emplace();
    WaterStretch stretch;
    stretch.from = 16.0;
    stretch.to = 18.0;
    stretch.from_seen = true;
    stretch.pushing = pushing;
    stretch.retrieving = retrieving;
    stretch.depths.push_back({17.0, {0.2, 0.06}});
    track.water->stretches.push_back(stretch);
    return track;
}

std::string csv_of(const Track& track) {
    return water_csv(std::span(&track, 1));
}

TEST(WaterLogFile, ClaimsStandingWaterOnlyWhereBothWaysShowIt) {
    EXPECT_THAT(csv_of(with_water(true, true)), HasSubstr("a.mp4: water stands from 16.00"));
    for (const bool pushing : {true, false}) {
        const std::string one_way = csv_of(with_water(pushing, !pushing));
        EXPECT_THAT(one_way, Not(HasSubstr("water stands")));
        EXPECT_THAT(one_way, HasSubstr(pushing ? "pushing in only" : "drawing back only"));
    }
}

TEST(WaterLogFile, GivesEveryDepthItsDeviationAndSaysWhichShoreWasNotSeen) {
    const std::string csv = csv_of(with_water(true, true));
    EXPECT_THAT(csv, HasSubstr("a.mp4,17.00,0.200,0.060"));
    EXPECT_THAT(csv, HasSubstr("to 18.00 (within 0.00, its shore was not seen)"));
}

TEST(WaterLogFile, SaysWhyNoDepthsAreGiven) {
    Track track = with_water(true, true);
    WaterStretch& stretch = track.water->stretches.front();
    stretch.deepest_unseen = true;
    EXPECT_THAT(csv_of(track), HasSubstr("how deep it is at most was not seen"));
    stretch.depths.clear();
    EXPECT_THAT(csv_of(track), HasSubstr("how high the camera rides was not seen: no depths"));
}

TEST(WaterLogFile, IsNotWrittenWithoutAStretch) {
    Track dry;
    dry.water.emplace();
    EXPECT_EQ(csv_of(dry), "");
}

}  // namespace
}  // namespace sondeline
