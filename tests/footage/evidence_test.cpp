#include "footage/evidence.hpp"

#include <algorithm>
#include <cmath>

#include <gmock/gmock.h>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>

#include "footage/frame_seeker.hpp"
#include "footage/frames.hpp"
#include "footage/lavfi_clip.hpp"
#include "support/footage.hpp"

namespace sondeline {
namespace {

Track pushed_and_zeroed() {
    Track track;
    track.clip.name = "run.mp4";
    track.format =
        CounterFormat{{30, 400, 90, 20}, CounterUnit::foot, 0.99, 3, 1, true, "012.4 ft"};
    for (int i = 0; i < 200; ++i) {
        CounterSample sample;
        sample.time_s = 0.1 * i;
        const bool unread = i < 5 || (i >= 60 && i < 75) || (i >= 90 && i < 94);
        if (!unread) sample.counter = i < 120 ? 0.1 * i : 0.1 * (i - 120);
        sample.state = unread ? CounterState::missing : CounterState::push;
        if (unread) sample.reason = "the counter is not shown";
        track.samples.push_back(sample);
    }
    track.zeroings = {{12.0, 11.9, 0.0, true}};
    return track;
}

std::vector<std::string> whats(const std::vector<EvidenceMoment>& moments) {
    std::vector<std::string> all;
    for (const EvidenceMoment& moment : moments) all.push_back(moment.what);
    return all;
}

TEST(Evidence, IsTakenAtEveryMomentThatALengthRestsOn) {
    const std::vector<EvidenceMoment> moments = evidence_moments(pushed_and_zeroed());
    EXPECT_THAT(whats(moments), testing::ElementsAre("first reading", "not read",
                                                     "set to another value", "furthest reach"));
    EXPECT_NEAR(moments[0].time_s, 0.5, 1e-9);
    EXPECT_EQ(moments[0].reading, "0.5 ft");
    EXPECT_NEAR(moments[1].time_s, 6.7, 0.11);
    EXPECT_NEAR(moments[2].time_s, 12.0, 1e-9);
    EXPECT_NEAR(moments[3].time_s, 19.9, 1e-9);
}

TEST(Evidence, IsBoundedHoweverOftenTheCounterWasLost) {
    Track track = pushed_and_zeroed();
    for (int i = 0; i < 4000; ++i) {
        CounterSample sample;
        sample.time_s = 20.0 + 0.1 * i;
        if (i % 20 >= 12) sample.counter = 8.0;
        sample.reason = sample.counter ? "" : "the digits are not clear enough";
        track.samples.push_back(sample);
        if (i % 400 == 19) track.zeroings.push_back({sample.time_s, 8.0, 8.0, true});
    }
    EXPECT_EQ(evidence_moments(track).size(), static_cast<std::size_t>(most_evidence));
}

TEST(Evidence, ShowsTwoTurnsTwoChangesOfLightAndOneRing) {
    Track track = pushed_and_zeroed();
    const std::size_t without = evidence_moments(track).size();
    for (const PassingKind kind : {PassingKind::ring, PassingKind::turn, PassingKind::light}) {
        for (int i = 0; i < 4; ++i) track.marks.push_back({kind, 1.0 + i, 3.0 + i, {}});
    }
    const auto told = whats(evidence_moments(track));
    EXPECT_EQ(told.size(), without + 5);
    EXPECT_EQ(std::ranges::count(told, "sudden turn"), 2);
    EXPECT_EQ(std::ranges::count(told, "light changes"), 2);
    EXPECT_EQ(std::ranges::count(told, "dark ring"), 1);
}

TEST(Evidence, IsNoneWithoutACounter) {
    Track track;
    EXPECT_TRUE(evidence_moments(track).empty());
    add_evidence("/nonexistent.mp4", track);
    EXPECT_TRUE(track.evidence.empty());
}

class SoughtFrames : public ::testing::TestWithParam<const char*> {};

// The same frame by decoding all from the start and by seeking.
TEST_P(SoughtFrames, AreThoseThatDecodingInOrderGives) {
    const ScratchFolder folder;
    const auto clip = folder / ("film." + std::string(GetParam()));
    ffmpeg("-f lavfi -i testsrc2=size=320x240:rate=25:duration=6 -g 50 -bf 2", clip);
    FrameSource::Opened opened = FrameSource::open(clip, {});
    ASSERT_TRUE(opened.source.has_value());
    auto seeker = FrameSeeker::open(clip);
    ASSERT_TRUE(seeker.has_value());
    int compared = 0;
    for (int i = 0; const auto frame = opened.source->next(); ++i) {
        if (i % 37 != 5) continue;
        const cv::Mat1b luma = frame->luma.clone();
        const auto sought = seeker->at(frame->time_s, 0.02);
        ASSERT_TRUE(sought.has_value()) << frame->time_s;
        cv::Mat1b grey;
        cv::cvtColor(*sought, grey, cv::COLOR_BGR2GRAY);
        // Studio range to full range; chroma is coarser, so small differences stay.
        cv::Mat1f expected;
        luma.convertTo(expected, CV_32F, 255.0 / 219.0, -16.0 * 255.0 / 219.0);
        cv::Mat1f actual;
        grey.convertTo(actual, CV_32F);
        EXPECT_LT(cv::mean(cv::abs(expected - actual))[0], 12.0) << frame->time_s;
        ++compared;
    }
    EXPECT_GE(compared, 3);
    EXPECT_FALSE(seeker->at(500.0, 0.02).has_value());
}

INSTANTIATE_TEST_SUITE_P(Containers, SoughtFrames,
                         ::testing::Values("mp4", "mkv", "mpg", "ts", "avi"));

TEST(Evidence, ShowsTheFrameWithTheBoxAndIsTheSameEveryTime) {
    const ScratchFolder folder;
    const auto clip = folder / "run.mkv";
    support::make_footage(support::parse_scenario(R"({"seed": 11, "overlays": [[
        {"role": "counter", "x": 30, "y": -24, "look": "outline", "counter": {"places": 4}}]],
        "story": [{"do": "hold", "for_s": 1}, {"do": "push", "to_m": 2.5, "speed": 0.35},
                  {"do": "hold", "for_s": 2}, {"do": "zero"}, {"do": "hold", "for_s": 2},
                  {"do": "push", "to_m": 3.5, "speed": 0.4}],
        "encoding": {"rate": "15"}})"),
                          clip);
    Track track = read_clip(clip);
    ASSERT_TRUE(track.format.has_value());
    EXPECT_TRUE(track.evidence.empty()) << "reading alone takes no pictures";
    add_evidence(clip, track);
    ASSERT_GE(track.evidence.size(), 2U);
    EXPECT_EQ(track.evidence.front().what, "first reading");
    for (const EvidencePicture& picture : track.evidence) {
        const std::vector<unsigned char> bytes(picture.png.begin(), picture.png.end());
        const cv::Mat3b seen = cv::imdecode(bytes, cv::IMREAD_COLOR);
        ASSERT_FALSE(seen.empty());
        EXPECT_LE(seen.cols, 360);
        EXPECT_LT(bytes.size(), 150000U);
        cv::Mat1b yellow;
        cv::inRange(seen, cv::Scalar(0, 208, 240), cv::Scalar(8, 224, 255), yellow);
        EXPECT_GT(cv::countNonZero(yellow), 60) << "the frame round the counter";
    }
    const std::vector<EvidencePicture> first = track.evidence;
    add_evidence(clip, track);
    ASSERT_EQ(track.evidence.size(), first.size());
    for (std::size_t i = 0; i < first.size(); ++i) EXPECT_EQ(track.evidence[i].png, first[i].png);
}

}  // namespace
}  // namespace sondeline
