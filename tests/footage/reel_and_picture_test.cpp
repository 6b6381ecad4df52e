#include "footage/reel_and_picture.hpp"

#include <gmock/gmock.h>

#include "footage/lavfi_clip.hpp"
#include "support/footage.hpp"

namespace sondeline {
namespace {

using testing::AllOf;
using testing::Contains;
using testing::Field;
using testing::HasSubstr;

struct Told {
    Track track;
    std::vector<double> times_s;
    std::vector<float> motion;
    void second(double ticks_per_sample, float moves) {
        for (int i = 0; i < 10; ++i) {
            CounterSample sample;
            sample.time_s = 0.1 * static_cast<double>(times_s.size());
            at += 0.1 * ticks_per_sample;
            sample.counter = at;
            track.samples.push_back(sample);
            times_s.push_back(sample.time_s);
            motion.push_back(moves);
        }
    }
    double at = 0.0;
};

Told ordinary() {
    Told told;
    told.track.clip.name = "run.mp4";
    told.track.format = CounterFormat{};
    told.track.format->decimals = 1;
    for (int i = 0; i < 4; ++i) told.second(0.0, 0.6F);
    for (int i = 0; i < 8; ++i) told.second(1.0, 6.0F);
    return told;
}

TEST(ReelAndPicture, AgreeOnAnOrdinaryPush) {
    const Told told = ordinary();
    EXPECT_TRUE(disagreements(told.track, told.times_s, told.motion).empty());
}

TEST(ReelAndPicture, DisagreeWhereTheCableSlips) {
    Told told = ordinary();
    for (int i = 0; i < 3; ++i) told.second(1.0, 0.7F);
    for (int i = 0; i < 4; ++i) told.second(1.0, 6.0F);
    const auto found = disagreements(told.track, told.times_s, told.motion);
    ASSERT_EQ(found.size(), 1U);
    EXPECT_TRUE(found[0].counter_runs);
    EXPECT_NEAR(found[0].from_s, 12.0, 0.2);
    EXPECT_NEAR(found[0].counted, 2.9, 0.2);
    tell_of_disagreements(found, told.track);
    ASSERT_EQ(told.track.findings.size(), 1U);
    EXPECT_THAT(told.track.findings[0].what_to_do, testing::StartsWith("Look here"));
}

TEST(ReelAndPicture, DisagreeWhereTheHeadMovesUncounted) {
    Told told = ordinary();
    for (int i = 0; i < 6; ++i) told.second(0.0, 6.0F);
    for (int i = 0; i < 8; ++i) told.second(0.0, 0.6F);
    const auto found = disagreements(told.track, told.times_s, told.motion);
    ASSERT_EQ(found.size(), 1U);
    EXPECT_FALSE(found[0].counter_runs);
}

TEST(ReelAndPicture, AreNotComparedWhereThePictureNeverRests) {
    Told told = ordinary();
    for (float& motion : told.motion) motion = 5.0F;
    EXPECT_TRUE(disagreements(told.track, told.times_s, told.motion).empty());
}

// The cable slips for five seconds, and later the head is moved by hand for seven.
TEST(ReelAndPicture, OfAClipThatSlipsAndDriftsSayWhereToLook) {
    const ScratchFolder folder;
    support::make_footage(support::parse_scenario(R"({"seed": 12, "overlays": [[
        {"role": "counter", "x": 30, "y": -24, "look": "outline", "counter": {"places": 4}}]],
        "story": [{"do": "hold", "for_s": 3}, {"do": "push", "to_m": 1.5},
                  {"do": "hold", "for_s": 2.5}, {"do": "slip", "value": 4, "for_s": 5},
                  {"do": "hold", "for_s": 2}, {"do": "push", "to_m": 2.5},
                  {"do": "hold", "for_s": 2.5}, {"do": "drift", "to_m": 4},
                  {"do": "hold", "for_s": 2}, {"do": "push", "to_m": 5}],
        "encoding": {"rate": "15"}})"),
                          folder / "run.mkv");
    const Track track = read_clip(folder / "run.mkv");
    EXPECT_THAT(
        track.findings,
        Contains(Field(&Finding::what, AllOf(HasSubstr("runs by 4 "), HasSubstr("stands still")))));
    EXPECT_THAT(track.findings, Contains(Field(&Finding::what, HasSubstr("picture moves for"))));
}

}  // namespace
}  // namespace sondeline
