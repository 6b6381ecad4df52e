// Invented clips read as the product reads them: counter from the picture, looks, stretches. What
// is drawn is the truth.
#include <algorithm>

#include <gtest/gtest.h>

#include "sondeline/footage.hpp"

#include "footage/lavfi_clip.hpp"
#include "footage/water/drawn_pipe.hpp"
#include "support/footage.hpp"

namespace sondeline {
namespace {

support::StoryStep step(support::StoryAction action, double to_m, double for_s) {
    support::StoryStep made;
    made.action = action;
    made.to_m = to_m;
    made.speed = 0.3;
    made.for_s = for_s;
    made.surge = 0.0;
    return made;
}

// There and back.
Track read_pipe(support::Scenario scenario) {
    using support::StoryAction;
    scenario.story = {step(StoryAction::hold, 0.0, 1.0), step(StoryAction::push, 2.6, 0.0),
                      step(StoryAction::hold, 0.0, 1.0), step(StoryAction::pull, 0.1, 0.0)};
    support::OverlayField counter;
    counter.role = support::FieldRole::counter;
    counter.digit_height_px = 26;
    counter.x = 24;
    counter.y = -20;
    counter.ink.outline_px = 2;
    counter.counter.scale = support::CounterScale::metres;
    counter.counter.decimals = 2;
    counter.counter.suffix = " m";
    scenario.overlays = {{counter}};
    scenario.encoding.kbit_per_s = 1500;
    const ScratchFolder folder;
    const auto path = folder / "pipe.mkv";
    support::make_footage(scenario, path);
    return read_clip(path);
}

TEST(WaterClip, ShowsAPoolBothWaysWithItsShoresAndDepth) {
    support::Scenario scenario = plain_pipe();
    scenario.camera.noise_sd = 2.0;
    scenario.pipe.water = {{0.9, 0.0}, {1.4, 0.22}, {1.9, 0.0}};
    const Track track = read_pipe(scenario);
    ASSERT_TRUE(track.water);
    ASSERT_EQ(track.water->stretches.size(), 1U);
    const WaterStretch& pool = track.water->stretches.front();
    EXPECT_TRUE(pool.pushing);
    EXPECT_TRUE(pool.retrieving);
    EXPECT_NEAR(pool.from, 0.9, pool.from_bound);
    EXPECT_NEAR(pool.to, 1.9, pool.to_bound);
    EXPECT_NEAR(pool.from, 0.9, 0.25);
    EXPECT_NEAR(pool.to, 1.9, 0.25);
    double deepest = 0.0;
    for (const WaterDepth& depth : pool.depths) deepest = std::max(deepest, depth.share.value);
    EXPECT_NEAR(deepest, 0.22, 0.05);
}

TEST(WaterClip, ClaimsNothingInADryPipeWithATideMark) {
    support::Scenario scenario = plain_pipe();
    scenario.camera.noise_sd = 2.0;
    scenario.pipe.stains = {{0.8, 1.9, 0.22, 0.55, true}};
    const Track track = read_pipe(scenario);
    ASSERT_TRUE(track.water);
    EXPECT_TRUE(track.water->stretches.empty());
}

}  // namespace
}  // namespace sondeline
