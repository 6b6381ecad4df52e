#include <gtest/gtest.h>

#include "sondeline/footage.hpp"

#include "footage/lavfi_clip.hpp"

namespace sondeline {
namespace {

// NIST FIPS 180-2, appendix B.1: SHA-256 of "abc".
TEST(ClipDescription, HashesAsFips180Says) {
    const ScratchFolder folder;
    write_bytes(folder / "abc.mp4", "abc");
    const ClipDescription clip = describe_clip(folder / "abc.mp4");
    EXPECT_EQ(clip.sha256, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    EXPECT_EQ(clip.bytes, 3U);
    EXPECT_EQ(clip.name, "abc.mp4");
    EXPECT_TRUE(clip.damaged);
}

TEST(ClipDescription, GivesWhatTheHeadersSay) {
    const ScratchFolder folder;
    ffmpeg(
        "-f lavfi -i testsrc2=s=320x240:r=25 -t 3 -c:v libx264 -preset ultrafast "
        "-metadata creation_time=2026-05-14T10:32:05Z",
        folder / "run 1.mp4");
    const ClipDescription clip = describe_clip(folder / "run 1.mp4");
    EXPECT_EQ(clip.container, "mp4");
    EXPECT_EQ(clip.codec, "h264");
    EXPECT_EQ(clip.width, 320);
    EXPECT_EQ(clip.height, 240);
    EXPECT_EQ(clip.frames, 75);
    EXPECT_NEAR(clip.duration_s, 3.0, 0.05);
    EXPECT_NEAR(clip.frame_rate, 25.0, 0.01);
    EXPECT_FALSE(clip.damaged);
    // 2026-05-14T10:32:05Z by `date -u -d … +%s` of GNU coreutils.
    ASSERT_TRUE(clip.creation_time_s);
    EXPECT_EQ(*clip.creation_time_s, 1778754725.0);
}

TEST(ClipDescription, OfAFileThatIsNotThereIsEmpty) {
    const ClipDescription clip = describe_clip("nowhere/absent.mp4");
    EXPECT_EQ(clip.name, "absent.mp4");
    EXPECT_TRUE(clip.sha256.empty());
    EXPECT_TRUE(clip.damaged);
}

}  // namespace
}  // namespace sondeline
