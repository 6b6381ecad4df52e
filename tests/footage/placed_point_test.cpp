#include <gmock/gmock.h>

#include "sondeline/footage.hpp"

#include "footage/track_findings.hpp"

namespace sondeline {
namespace {

using ::testing::HasSubstr;

// "2.49 m" and the like, whose point was hardly seen.
Track doubtful_track() {
    Track track;
    track.clip.name = "a.mp4";
    track.format = CounterFormat{};
    track.format->unit = CounterUnit::metre;
    track.format->integer_cells = 1;
    track.format->decimals = 2;
    track.format->pattern = "2.49 m";
    track.format->point_in_doubt = true;
    track.samples = {{0.0, 2.48, 1.0, CounterState::push, ""}, {0.1, {}, 0.0, {}, "not clear"}};
    track.holds = {{1.0, 4.0, 2.49}};
    track.zeroings = {{5.0, 2.49, 0.0, true}};
    track.pull_backs = {{6.0, 7.0, 1.0, 0.5}};
    track.grade = GradeLog{};
    track.grade->points = {{0.0, 2.48, 1.2}};
    track.water = WaterLog{};
    track.water->stretches.push_back({1.0, 2.0, 0.1, 0.2});
    track.water->reaches.push_back({0.5, 2.4, 0.12, false});
    track.findings = {
        clip_finding(track, Severity::problem,
                     opening_of_doubt(*track.format) + ": its point is hardly seen.", "Compare."),
        clip_finding(track, Severity::info, "Another one.", "Nothing.")};
    return track;
}

TEST(WithDecimals, MovesEveryCounterOfTheClip) {
    const Track track = with_decimals(doubtful_track(), 1);
    EXPECT_EQ(track.format->pattern, "24.9 m");
    EXPECT_EQ(track.format->decimals, 1);
    EXPECT_EQ(track.format->integer_cells, 2);
    EXPECT_NEAR(track.format->tick(), 0.1, 1e-12);
    EXPECT_NEAR(*track.samples[0].counter, 24.8, 1e-9);
    EXPECT_FALSE(track.samples[1].counter);
    EXPECT_NEAR(track.holds[0].counter, 24.9, 1e-9);
    EXPECT_NEAR(track.zeroings[0].counter_before, 24.9, 1e-9);
    EXPECT_NEAR(track.pull_backs[0].to_counter, 5.0, 1e-9);
    EXPECT_NEAR(track.grade->points[0].counter, 24.8, 1e-9);
    EXPECT_NEAR(track.grade->points[0].inclination, 1.2, 1e-12);
    EXPECT_NEAR(track.water->stretches[0].to, 20.0, 1e-9);
    EXPECT_NEAR(track.water->stretches[0].to_bound, 2.0, 1e-9);
    EXPECT_NEAR(track.water->reaches[0].from, 5.0, 1e-9);
    EXPECT_NEAR(track.water->reaches[0].to, 24.0, 1e-9);
    EXPECT_NEAR(*track.water->reaches[0].sure_share, 0.12, 1e-12);
}

TEST(WithDecimals, SettlesTheDoubtAndSaysWhatWasMoved) {
    const Track track = with_decimals(doubtful_track(), 1);
    EXPECT_FALSE(track.format->point_in_doubt);
    ASSERT_EQ(track.findings.size(), 2U);
    EXPECT_EQ(track.findings[0].what, "Another one.");
    EXPECT_THAT(track.findings[1].what, HasSubstr("read as 2.49 m and taken as 24.9 m"));
}

// A number of three cells that showed two digits at most.
TEST(WithDecimals, WritesANoughtBeforeAPointThatNoDigitStandsBefore) {
    Track track = doubtful_track();
    track.format->integer_cells = 3;
    track.format->decimals = 0;
    track.format->pattern = "24 m";
    EXPECT_EQ(with_decimals(track, 2).format->pattern, "0.24 m");
}

TEST(WithDecimals, OnlySettlesTheDoubtWhereThePointWasReadRight) {
    const Track track = with_decimals(doubtful_track(), 2);
    EXPECT_FALSE(track.format->point_in_doubt);
    EXPECT_EQ(*track.samples[0].counter, 2.48);
    EXPECT_EQ(track.findings.size(), 1U);
}

TEST(WithDecimals, LeavesAClipAsItIsThatHasTooFewDigitsOrShowsInches) {
    EXPECT_TRUE(with_decimals(doubtful_track(), 3).format->point_in_doubt);
    Track inches = doubtful_track();
    inches.format->unit = CounterUnit::feet_and_inches;
    EXPECT_EQ(*with_decimals(inches, 1).samples[0].counter, 2.48);
    EXPECT_FALSE(with_decimals(Track{}, 1).format);
}

TEST(JoinClips, PassOnThatAPointIsInDoubt) {
    const Track doubtful = doubtful_track();
    EXPECT_TRUE(join_clips(std::span(&doubtful, 1)).point_in_doubt);
    const Track settled = with_decimals(doubtful, 2);
    EXPECT_FALSE(join_clips(std::span(&settled, 1)).point_in_doubt);
}

}  // namespace
}  // namespace sondeline
