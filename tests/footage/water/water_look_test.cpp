#include "footage/water/water_look.hpp"

#include <cmath>
#include <span>

#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

#include "footage/water/drawn_pipe.hpp"
#include "footage/water/water_watch.hpp"

namespace sondeline {
namespace {

// Chord and depth of a circle: depth over diameter = (1 − cos half) / 2 (plane geometry).
double half_of(double ratio) {
    return std::acos(1.0 - 2.0 * ratio);
}

WaterLook look_at(const support::Scenario& scenario) {
    const auto frames = small_frames(scenario, 0.1);
    const cv::Mat1b unseen(frames.front().size(), uchar{0});
    WaterEye eye(frames[0], unseen, 0.0);
    for (std::size_t i = 1; i < frames.size(); ++i) {
        const double time_s = 0.1 * static_cast<double>(i);
        if (eye.wants(time_s)) eye.follow(frames[i], time_s);
    }
    return looks_of(std::span(&eye.sight(), 1)).front();
}

TEST(WaterLook, FindsTheShoresOfStillWaterAndTheInvertBetweenThem) {
    support::Scenario scenario = plain_pipe();
    scenario.pipe.water = {{-1.0, 0.25}, {9.0, 0.25}};
    const WaterLook look = look_at(scenario);
    ASSERT_TRUE(look.pipe);
    ASSERT_TRUE(look.shores);
    EXPECT_NEAR(look.shores->down_rad, CV_PI / 2, 0.06);
    EXPECT_NEAR(look.shores->half_rad, half_of(0.25), 0.08);
    EXPECT_GT(look.shores->edge, 0.5);
}

TEST(WaterLook, FollowsTheHeadsRoll) {
    support::Scenario scenario = plain_pipe();
    scenario.pipe.water = {{-1.0, 0.2}, {9.0, 0.2}};
    scenario.camera.roll_start_deg = 40.0;
    const WaterLook look = look_at(scenario);
    ASSERT_TRUE(look.shores);
    EXPECT_NEAR(look.shores->down_rad, CV_PI / 2 + 40.0 * CV_PI / 180.0, 0.06);
}

TEST(WaterLook, SeesNoStrongShoreInADryPipe) {
    const WaterLook look = look_at(plain_pipe());
    ASSERT_TRUE(look.pipe);
    if (look.shores) {
        EXPECT_LT(look.shores->edge, 0.2);
    }
}

TEST(WaterLook, DoesNotTakeAnEvenPictureForAPipe) {
    const cv::Mat1b grey(120, 160, uchar{90});
    const WaterEye eye(grey, cv::Mat1b(grey.size(), uchar{0}), 0.0);
    const WaterLook look = looks_of(std::span(&eye.sight(), 1)).front();
    EXPECT_FALSE(look.pipe);
    EXPECT_FALSE(look.shores);
}

// A stain is as much darker far off as near; water shows more of the wall the flatter it is looked
// at (Fresnel's equations).
TEST(WaterLook, TellsAStainedWallFromWaterByItsDarknessFarOff) {
    support::Scenario stained = plain_pipe();
    stained.pipe.stains = {{-1.0, 9.0, 0.25, 0.7, false}};
    support::Scenario wet = plain_pipe();
    wet.pipe.water = {{-1.0, 0.25}, {9.0, 0.25}};
    const WaterLook stain = look_at(stained);
    const WaterLook water = look_at(wet);
    ASSERT_TRUE(stain.shores && stain.shores->far_over_near);
    ASSERT_TRUE(water.shores && water.shores->far_over_near);
    EXPECT_GT(*stain.shores->far_over_near, 0.9);
    EXPECT_LT(*water.shores->far_over_near, 0.85);
}

// Murk throws the light back before the lens: the far end of the pipe is no longer dark, however
// the lamps glint.
TEST(WaterLook, IsVeiledUnderMurkyWaterEvenWhereLampsGlint) {
    support::Scenario scenario = plain_pipe();
    scenario.camera.glare = 1.0;
    scenario.camera.lens_height = 0.3;
    scenario.pipe.water = {{-1.0, 0.42}, {9.0, 0.42}};
    const WaterLook under = look_at(scenario);
    EXPECT_TRUE(under.veiled);
    scenario.pipe.water.clear();
    const WaterLook dry = look_at(scenario);
    EXPECT_FALSE(dry.veiled);
    EXPECT_TRUE(dry.pipe);
}

// Of the wall of a head that stands, a moment later shows nothing that this moment does not.
TEST(WaterEye, WantsNoMorePicturesOfAWallThatStands) {
    support::Scenario scenario = plain_pipe();
    scenario.pipe.dirt = 0.5;
    const cv::Mat1b frame = small_frames(scenario, 0.1).front();
    cv::RNG chance(1);
    const auto noisy = [&] {
        cv::Mat1s noise(frame.size());
        chance.fill(noise, cv::RNG::NORMAL, 0.0, 1.0);
        cv::Mat1b out;
        cv::add(frame, noise, out, cv::noArray(), CV_8U);
        return out;
    };
    WaterEye eye(noisy(), cv::Mat1b(frame.size(), uchar{0}), 0.0);
    ASSERT_TRUE(eye.wants(0.1));
    eye.follow(noisy(), 0.1);
    EXPECT_FALSE(eye.wants(0.6));
}

// What moved slowly a moment ago has not moved far enough 0.1 s later; but it may have sped up
// since.
TEST(WaterEye, PassesOverAPictureTooSoonForThePaceOfAMomentAgo) {
    const cv::Mat1b frame = small_frames(plain_pipe(), 0.1).front();
    const cv::Mat1b unseen(frame.size(), uchar{0});
    const WaterEye slow(frame, unseen, 0.0, std::nullopt, 10.0);
    EXPECT_FALSE(slow.wants(0.1));
    EXPECT_TRUE(slow.wants(0.2));
    const WaterEye stood(frame, unseen, 0.0, std::nullopt, 0.0);
    EXPECT_FALSE(stood.wants(0.1));
    EXPECT_TRUE(stood.wants(0.2));
    EXPECT_TRUE(WaterEye(frame, unseen, 0.0, std::nullopt, 40.0).wants(0.1));
    EXPECT_TRUE(WaterEye(frame, unseen, 0.0).wants(0.1));
}

// Glare over its dark end: a pipe shows no circles any more, but something dark beside them.
cv::Mat1b without_circles(const cv::Mat1b& frame) {
    cv::Mat1b hidden = frame.clone();
    cv::circle(hidden, {frame.cols / 2, frame.rows / 2}, frame.rows / 4, 200, cv::FILLED);
    cv::circle(hidden, {0, 0}, frame.rows / 6, 4, cv::FILLED);
    return hidden;
}

std::vector<WaterLook> looks_with_hidden_circles(const support::Scenario& scenario,
                                                 double hidden_for_s) {
    const cv::Mat1b frame = small_frames(scenario, 0.1).front();
    const cv::Mat1b hidden = without_circles(frame);
    EXPECT_FALSE(WaterEye(hidden, cv::Mat1b(frame.size(), uchar{0}), 0.0).vanishing());
    WaterWatch watch({}, frame.size());
    double time_s = 0.0;
    for (; time_s < 2.0; time_s += 0.3) watch.take(time_s, frame);
    for (const double end_s = time_s + hidden_for_s; time_s < end_s; time_s += 0.3) {
        watch.take(time_s, hidden);
    }
    return watch.finish();
}

// Glare or drops on the lens hide the circles for longer than a look; the head sways little.
TEST(WaterWatch, FollowsTheShoresForSecondsWhereThePipesCirclesAreHidden) {
    support::Scenario scenario = plain_pipe();
    scenario.pipe.water = {{-1.0, 0.25}, {9.0, 0.25}};
    const auto looks = looks_with_hidden_circles(scenario, 4.0);
    EXPECT_FALSE(looks.back().vanishing);
    EXPECT_TRUE(looks.back().pipe);
    ASSERT_TRUE(looks.back().shores);
    EXPECT_NEAR(looks.back().shores->half_rad, half_of(0.25), 0.1);
}

TEST(WaterWatch, DoesNotCallAPictureWithoutCirclesADryPipe) {
    const auto looks = looks_with_hidden_circles(plain_pipe(), 1.2);
    EXPECT_TRUE(looks.front().pipe);
    EXPECT_FALSE(looks.back().shores);
    EXPECT_FALSE(looks.back().pipe);
}

// Long clips are followed in windows; no look may be lost or told twice where two of them meet.
TEST(WaterLook, TellsEveryLookOnceHoweverLongTheClip) {
    support::Scenario scenario = plain_pipe();
    scenario.pipe.water = {{-1.0, 0.25}, {9.0, 0.25}};
    const cv::Mat1b frame = small_frames(scenario, 0.1).front();
    WaterWatch watch({}, frame.size());
    constexpr int kLooks = 1000;
    for (int i = 0; i < kLooks; ++i) watch.take(0.5 * i, frame);
    const auto looks = watch.finish();
    ASSERT_EQ(looks.size(), static_cast<std::size_t>(kLooks));
    for (int i = 0; i < kLooks; ++i) {
        const WaterLook& look = looks[static_cast<std::size_t>(i)];
        EXPECT_NEAR(look.time_s, 0.5 * i, 1e-9);
        EXPECT_TRUE(look.shores) << i;
    }
}

}  // namespace
}  // namespace sondeline
