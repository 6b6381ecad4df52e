#include "footage/frames.hpp"

#include <random>

#include <gmock/gmock.h>

#include "footage/lavfi_clip.hpp"

namespace sondeline {
namespace {

using ::testing::HasSubstr;
using ::testing::Lt;

constexpr const char* kPattern = "-f lavfi -i testsrc2=s=320x240:r=30 -t 4 ";

struct Seen {
    std::vector<double> times_s;
    std::vector<cv::Mat1b> pictures;
    FrameReport report;
    std::string why_not;
};

Seen see(const std::filesystem::path& clip, const FrameChoice& choice = {}) {
    Seen seen;
    FrameSource::Opened opened = FrameSource::open(clip, choice);
    seen.why_not = opened.why_not;
    if (!opened.source) return seen;
    while (const std::optional<Frame> frame = opened.source->next()) {
        seen.times_s.push_back(frame->time_s);
        seen.pictures.push_back(frame->luma.clone());
    }
    seen.report = opened.source->report();
    return seen;
}

struct Encoding {
    const char* name;
    const char* arguments;
    const char* file;
};

class FramesOfEveryKind : public ::testing::TestWithParam<Encoding> {};

// Peer: ffprobe of the ffmpeg package.
TEST_P(FramesOfEveryKind, CarryTheTimesThatFfprobeGives) {
    const ScratchFolder folder;
    const auto clip = folder / GetParam().file;
    ffmpeg(std::string(kPattern) + GetParam().arguments, clip);
    const Seen seen = see(clip);
    const std::vector<double> expected_s = ffprobe_times_s(clip);
    ASSERT_EQ(seen.times_s.size(), expected_s.size());
    for (std::size_t i = 0; i < expected_s.size(); ++i) {
        ASSERT_NEAR(seen.times_s[i], expected_s[i], 1e-5) << "frame " << i;
    }
    EXPECT_EQ(seen.report.frames, static_cast<std::int64_t>(expected_s.size()));
    EXPECT_EQ(seen.report.back_steps, 0);
    EXPECT_EQ(seen.report.missing_s, 0.0);
}

TEST_P(FramesOfEveryKind, AreSampledAboutTenASecond) {
    const ScratchFolder folder;
    const auto clip = folder / GetParam().file;
    ffmpeg(std::string(kPattern) + GetParam().arguments, clip);
    const Seen seen = see(clip, {.key_frames_only = false, .per_s = 10.0});
    EXPECT_NEAR(static_cast<double>(seen.times_s.size()), 40.0, 6.0);
    for (std::size_t i = 1; i < seen.times_s.size(); ++i) {
        ASSERT_LE(seen.times_s[i] - seen.times_s[i - 1], 0.21) << "at " << seen.times_s[i];
    }
}

INSTANTIATE_TEST_SUITE_P(
    Frames, FramesOfEveryKind,
    ::testing::Values(Encoding{"h264", "-c:v libx264 -preset veryfast -bf 3", "a.mp4"},
                      Encoding{"h264_baseline", "-c:v libx264 -profile:v baseline -preset veryfast",
                               "a.mkv"},
                      Encoding{"h264_transport", "-c:v libx264 -preset veryfast -bf 2", "a.ts"},
                      Encoding{"mpeg2", "-c:v mpeg2video -bf 2 -b:v 3M", "a.mpg"},
                      Encoding{"mpeg4", "-c:v mpeg4 -b:v 1M", "a.avi"},
                      Encoding{"mjpeg", "-c:v mjpeg -q:v 6", "b.avi"},
                      Encoding{"ten_bit", "-c:v ffv1 -pix_fmt yuv420p10", "b.mkv"},
                      Encoding{"uneven_times",
                               "-vf select='mod(n\\,4)' -vsync vfr "
                               "-c:v libx264 -preset veryfast",
                               "c.mkv"}),
    [](const auto& encoding) { return std::string(encoding.param.name); });

// Peer: the luma plane as the ffmpeg program writes it.
TEST(Frames, HoldTheLumaThatFfmpegDecodes) {
    const ScratchFolder folder;
    const auto clip = folder / "a.avi";
    ffmpeg(std::string(kPattern) + "-c:v mpeg4 -b:v 1M", clip);
    ffmpeg("-i '" + clip.string() + "' -vf extractplanes=y -f rawvideo -pix_fmt gray",
           folder / "luma.raw");
    const std::string expected = bytes_of(folder / "luma.raw");
    const Seen seen = see(clip);
    ASSERT_EQ(expected.size(), seen.pictures.size() * 320 * 240);
    for (std::size_t i = 0; i < seen.pictures.size(); ++i) {
        const std::string got(reinterpret_cast<const char*>(seen.pictures[i].data), 320UL * 240);
        ASSERT_EQ(got, expected.substr(i * 320 * 240, 320UL * 240)) << "frame " << i;
    }
}

TEST(Frames, OfRgbFootageBecomeLuma) {
    const ScratchFolder folder;
    ffmpeg("-f lavfi -i color=white:s=64x48:r=10 -t 1 -c:v ffv1 -pix_fmt bgr0", folder / "a.mkv");
    const Seen seen = see(folder / "a.mkv");
    ASSERT_FALSE(seen.pictures.empty());
    EXPECT_GE(seen.pictures.front()(24, 32), 230);
}

TEST(Frames, AreOnlyKeyFramesWhenThoseAreAskedFor) {
    const ScratchFolder folder;
    ffmpeg(std::string(kPattern) + "-c:v libx264 -g 30 -sc_threshold 0", folder / "a.mp4");
    const Seen all = see(folder / "a.mp4", {.key_frames_only = true});
    EXPECT_THAT(all.times_s, ::testing::ElementsAre(0.0, 1.0, 2.0, 3.0));
    const Seen spaced = see(folder / "a.mp4", {.key_frames_only = true, .per_s = 0.5});
    EXPECT_THAT(spaced.times_s, ::testing::ElementsAre(0.0, 2.0));
}

TEST(Frames, OfAClipCutOffAreReadUpToTheCut) {
    const ScratchFolder folder;
    ffmpeg(std::string(kPattern) + "-c:v libx264 -preset veryfast", folder / "a.mkv");
    const std::string whole = bytes_of(folder / "a.mkv");
    write_bytes(folder / "cut.mkv", whole.substr(0, whole.size() * 6 / 10));
    const Seen seen = see(folder / "cut.mkv");
    EXPECT_GT(seen.times_s.size(), 30U);
    EXPECT_THAT(seen.times_s.size(), Lt(110U));
    EXPECT_GT(seen.report.missing_s, 1.0);
}

TEST(Frames, TellAGapInTime) {
    const ScratchFolder folder;
    ffmpeg(std::string(kPattern) + "-vf select='lt(t\\,1)+gt(t\\,3)' -vsync vfr -c:v mpeg4",
           folder / "a.mkv");
    const Seen seen = see(folder / "a.mkv");
    EXPECT_EQ(seen.report.gaps, 1);
    EXPECT_NEAR(seen.report.longest_gap_s, 2.07, 0.1);
    EXPECT_NEAR(seen.report.longest_gap_at_s, 0.97, 0.05);
}

TEST(Frames, NeverRunBackwardsWhereRecordingsWereStrungTogether) {
    const ScratchFolder folder;
    ffmpeg(std::string(kPattern) + "-c:v mpeg2video", folder / "a.ts");
    const std::string once = bytes_of(folder / "a.ts");
    write_bytes(folder / "twice.ts", once + once);
    const Seen seen = see(folder / "twice.ts");
    EXPECT_EQ(seen.times_s.size(), 240U);
    EXPECT_TRUE(std::is_sorted(seen.times_s.begin(), seen.times_s.end()));
    EXPECT_NEAR(seen.times_s.back(), 8.0, 0.3);
    EXPECT_EQ(seen.report.back_steps, 1);
}

TEST(Frames, AreRefusedWithTheReasonWhenThereIsNoFootage) {
    const ScratchFolder folder;
    EXPECT_THAT(see(folder / "absent.mp4").why_not, HasSubstr("does not exist"));
    EXPECT_THAT(see(folder / ".").why_not, HasSubstr("not a file"));
    write_bytes(folder / "empty.mp4", "");
    EXPECT_THAT(see(folder / "empty.mp4").why_not, HasSubstr("empty"));
    write_bytes(folder / "words.mp4", "These are words, not a picture.\n");
    EXPECT_THAT(see(folder / "words.mp4").why_not, HasSubstr("could not be opened"));
    ffmpeg("-f lavfi -i sine -t 1 -c:a aac", folder / "sound.mp4");
    EXPECT_THAT(see(folder / "sound.mp4").why_not, HasSubstr("no video"));
}

// A list that points at another file must not be followed.
TEST(Frames, AreNotFetchedThroughPlayLists) {
    const ScratchFolder folder;
    ffmpeg(std::string(kPattern) + "-c:v libx264 -preset veryfast", folder / "a.ts");
    write_bytes(folder / "list.mp4", "ffconcat version 1.0\nfile a.ts\n");
    EXPECT_THAT(see(folder / "list.mp4").why_not, HasSubstr("could not be opened"));
    write_bytes(folder / "list.m3u8",
                "#EXTM3U\n#EXT-X-TARGETDURATION:4\n#EXTINF:4.0,\na.ts\n#EXT-X-ENDLIST\n");
    EXPECT_THAT(see(folder / "list.m3u8").why_not, HasSubstr("could not be opened"));
}

TEST(Frames, SurviveDamagedBytes) {
    const ScratchFolder folder;
    const std::vector<Encoding> encodings{{"", "-c:v libx264 -preset ultrafast", "a.mp4"},
                                          {"", "-c:v mpeg2video", "a.mpg"},
                                          {"", "-c:v mpeg4", "a.avi"},
                                          {"", "-c:v mjpeg -q:v 9", "a.mkv"}};
    std::mt19937 random(7);
    for (const Encoding& encoding : encodings) {
        ffmpeg(std::string("-f lavfi -i testsrc2=s=160x120:r=10 -t 2 ") + encoding.arguments,
               folder / encoding.file);
        const std::string whole = bytes_of(folder / encoding.file);
        for (int trial = 0; trial < 12; ++trial) {
            std::string broken = whole;
            for (int flip = 0; flip < 1 << (trial % 8); ++flip) {
                broken[random() % broken.size()] ^= static_cast<char>(1U << (random() % 8));
            }
            if (trial % 3 == 2) broken.resize(random() % broken.size());
            const auto clip = folder / (std::string("broken_") + encoding.file);
            write_bytes(clip, broken);
            const Seen seen = see(clip, {.key_frames_only = trial % 4 == 3, .per_s = 10.0});
            EXPECT_TRUE(std::is_sorted(seen.times_s.begin(), seen.times_s.end()));
            EXPECT_LE(seen.times_s.size(), 200U);
        }
    }
}

}  // namespace
}  // namespace sondeline
