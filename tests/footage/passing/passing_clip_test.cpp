// From pictures to marks: a short push through a rendered pipe of sticks, with a fitting.
#include <filesystem>

#include <gmock/gmock.h>

#include "sondeline/footage.hpp"

#include "support/footage.hpp"

namespace sondeline {
namespace {

using testing::Contains;
using testing::Field;
using testing::HasSubstr;

// Sticks of 0.6 m counted in metres, seen from near the axis.
support::Scenario push_through_sticks() {
    support::Scenario scenario;
    scenario.seed = 4711;
    scenario.pipe.joint_spacing_m = 0.6;
    scenario.pipe.dirt = 0.2;
    scenario.camera.noise_sd = 2.0;
    support::OverlayField counter;
    counter.role = support::FieldRole::counter;
    counter.counter.scale = support::CounterScale::metres;
    counter.counter.decimals = 2;
    counter.counter.suffix = " m";
    scenario.overlays = {{counter}};
    support::StoryStep hold;
    hold.for_s = 1.0;
    support::StoryStep push;
    push.action = support::StoryAction::push;
    push.to_m = 5.0;
    push.speed = 0.25;
    scenario.story = {hold, push, hold};
    scenario.encoding.rate = "12";
    return scenario;
}

Track read(const support::Scenario& scenario, const std::string& name) {
    const auto path = std::filesystem::path(testing::TempDir()) / name;
    support::make_footage(scenario, path);
    return read_clip(path);
}

TEST(Marks, ShowTheJointsOfSticksAndHowFarTheyAreApart) {
    const Track track = read(push_through_sticks(), "sticks.mp4");
    ASSERT_TRUE(track.joint_row);
    EXPECT_NEAR(track.joint_row->spacing.value, 0.6, 3.0 * track.joint_row->spacing.sd);
    EXPECT_GE(track.joint_row->spaces, 4);
    EXPECT_THAT(track.findings, Contains(Field(&Finding::what, HasSubstr("2 ft (0.61 m)"))));
    for (const PassingMark& mark : track.marks) {
        ASSERT_EQ(mark.kind, PassingKind::ring);
        EXPECT_NEAR(std::remainder(mark.counter, 0.6), 0.0, 0.06) << mark.counter;
    }
}

TEST(Marks, ShowWhereTheHeadGoesThroughAFitting) {
    support::Scenario scenario = push_through_sticks();
    scenario.pipe.joint_spacing_m = 0.0;
    scenario.pipe.bends = {{2.6, 0.15, 45.0, 0.0}};
    const Track track = read(scenario, "fitting.mp4");
    EXPECT_FALSE(track.joint_row);
    std::vector<double> turns;
    for (const PassingMark& mark : track.marks) {
        if (mark.kind == PassingKind::turn) turns.push_back(mark.counter);
    }
    EXPECT_THAT(turns, testing::ElementsAre(testing::DoubleNear(2.6, 0.4)));
    EXPECT_THAT(track.findings, Contains(Field(&Finding::what, HasSubstr("turns suddenly"))));
}

TEST(Marks, AreNotSoughtWhereNobodyAsksToLookAlongThePipe) {
    support::Scenario scenario = push_through_sticks();
    scenario.story[1].to_m = 2.0;
    const auto path = std::filesystem::path(testing::TempDir()) / "unasked.mp4";
    support::make_footage(scenario, path);
    ReadOptions options;
    options.water = false;
    EXPECT_TRUE(read_clip(path, options).marks.empty());
}

}  // namespace
}  // namespace sondeline
