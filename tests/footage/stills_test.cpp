// Stills against what the ffmpeg program shows of the same moment.
#include "footage/stills.hpp"

#include <array>
#include <cmath>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "footage/lavfi_clip.hpp"

namespace sondeline {
namespace {

// Mean squared error of the luma of a still and of the clip's frame `time_s` after its first, by
// ffmpeg's psnr filter, in decibels.
double likeness_db(const ScratchFolder& folder, const Still& still,
                   const std::filesystem::path& clip, double time_s) {
    write_bytes(folder / "still.jpg", still.jpeg);
    const std::string command = fmt::format(
        "ffmpeg -v info -i '{}' -i '{}' -lavfi \"[1]setpts=PTS-STARTPTS,trim=start={:.3f},"
        "setpts=PTS-STARTPTS,scale=320:240,format=yuv420p[b];[0]scale=320:240,format=yuv420p[a];"
        "[a][b]psnr=shortest=1\" -frames:v 1 -f null - 2>&1",
        (folder / "still.jpg").string(), clip.string(), time_s - 0.001);
    std::string said;
    FILE* pipe = popen(command.c_str(), "r");
    std::array<char, 4096> buffer{};
    while (fgets(buffer.data(), buffer.size(), pipe) != nullptr) said += buffer.data();
    pclose(pipe);
    const std::size_t at = said.find("PSNR y:");
    EXPECT_NE(at, std::string::npos) << said;
    return at == std::string::npos ? 0.0 : std::stod(said.substr(at + 7));
}

ClipDescription read_as(const std::filesystem::path& clip) {
    ClipDescription description;
    description.duration_s = ffprobe_times_s(clip).back();
    return description;
}

// The counting digits of testsrc differ from one tenth of a second to the next.
TEST(Stills, ShowTheMomentThatWasAskedForInEveryFormat) {
    const ScratchFolder folder;
    for (const auto& [name, coding] : {std::pair{"a.avi", "-c:v mjpeg -q:v 3"},
                                       std::pair{"b.avi", "-c:v mpeg4 -q:v 3 -g 100 -bf 0"},
                                       std::pair{"c.mpg", "-c:v mpeg2video -q:v 3 -g 15 -bf 2"},
                                       std::pair{"d.wmv", "-c:v wmv2 -q:v 3 -g 100"},
                                       std::pair{"e.mkv", "-c:v mpeg4 -q:v 3 -g 60 -bf 2"}}) {
        const auto clip = folder / name;
        ffmpeg(fmt::format("-f lavfi -i testsrc=duration=9:size=320x240:rate=25:decimals=1 {}",
                           coding),
               clip);
        const std::array<double, 4> times_s{0.0, 3.4, 5.2, 7.6};
        const std::vector<Still> stills = take_stills(clip, read_as(clip), times_s);
        ASSERT_EQ(stills.size(), times_s.size()) << name;
        for (std::size_t i = 0; i < times_s.size(); ++i) {
            EXPECT_NEAR(stills[i].time_s, times_s[i], 0.045) << name;
        }
        const Still& middle = stills[2];
        const double here_db = likeness_db(folder, middle, clip, middle.time_s);
        EXPECT_GT(here_db, 27.0) << name;
        EXPECT_GT(here_db, likeness_db(folder, middle, clip, middle.time_s + 0.4) + 3.0) << name;
        EXPECT_EQ(take_stills(clip, read_as(clip), times_s)[2].jpeg, stills[2].jpeg) << name;
    }
}

// A wrong picture beside a station would be worse than none.
TEST(Stills, AreLeftOutWhereTheTimeLineIsBrokenOrTheFileIsNoVideo) {
    const ScratchFolder folder;
    const auto clip = folder / "a.avi";
    ffmpeg("-f lavfi -i testsrc=duration=4:size=320x240:rate=25 -c:v mjpeg", clip);
    ClipDescription longer = read_as(clip);
    longer.duration_s += 5.0;
    const std::array<double, 1> early{1.0};
    EXPECT_TRUE(take_stills(clip, longer, early).empty());
    const std::array<double, 1> beyond{60.0};
    EXPECT_TRUE(take_stills(clip, read_as(clip), beyond).empty());
    write_bytes(folder / "b.avi", "RIFF and nothing more");
    EXPECT_TRUE(take_stills(folder / "b.avi", {}, early).empty());
}

// Pictures of 720 by 576 with the pixels of 4:3 television are 768 by 576 on a square grid.
TEST(Stills, AreSmallAndHaveSquarePixels) {
    const ScratchFolder folder;
    const auto clip = folder / "a.mpg";
    ffmpeg("-f lavfi -i testsrc=duration=2:size=720x576:rate=25 -vf setsar=16/15 -c:v mpeg2video",
           clip);
    const std::array<double, 1> times_s{1.0};
    const std::vector<Still> stills = take_stills(clip, read_as(clip), times_s);
    ASSERT_EQ(stills.size(), 1U);
    write_bytes(folder / "still.jpg", stills[0].jpeg);
    const auto small = folder / "size.txt";
    ASSERT_EQ(
        std::system(fmt::format("ffprobe -v error -show_entries stream=width,height -of csv=p=0 "
                                "'{}' > '{}'",
                                (folder / "still.jpg").string(), small.string())
                        .c_str()),
        0);
    EXPECT_EQ(bytes_of(small), "480,360\n");
}

}  // namespace
}  // namespace sondeline
