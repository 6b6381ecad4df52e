#include "cli/progress.hpp"

#include <gmock/gmock.h>

namespace sondeline::cli {
namespace {

using testing::HasSubstr;
using testing::Not;

TEST(Advance, SaysShareRateAndTimeLeft) {
    const Advance advance{10, 3, 400e6, 100e6, 20.0};
    EXPECT_EQ(advance_text(advance),
              "[======                  ]  25 %  3 of 10 clips  5.0 MB/s  1:00 left");
}

TEST(Advance, JudgesNothingFromTheFirstMoment) {
    EXPECT_THAT(advance_text({10, 0, 400e6, 100e3, 0.1}), Not(HasSubstr("left")));
    EXPECT_THAT(advance_text({1, 1, 0.0, 0.0, 5.0}), HasSubstr("100 %  1 of 1 clip"));
}

TEST(Advance, FitsATerminalOfEightyColumns) {
    EXPECT_LE(advance_text({10000, 9999, 1e15, 5e14, 1e6}).size(), 78U);
}

TEST(Progress, SaysNothingWhenSilent) {
    testing::internal::CaptureStderr();
    Progress progress(ProgressStyle::silent);
    progress.expect("a.mp4", 10);
    progress.show("a.mp4", 1.0);
    progress.finish();
    EXPECT_EQ(testing::internal::GetCapturedStderr(), "");
}

TEST(Progress, SaysALineForEveryClipAndWhichWereKnown) {
    testing::internal::CaptureStderr();
    Progress progress(ProgressStyle::lines);
    progress.show("a.mp4", 0.5);
    progress.show("b.mp4", 1.0);
    progress.show("a.mp4", 1.0);
    progress.show("a.mp4", 1.0);
    EXPECT_EQ(testing::internal::GetCapturedStderr(), "known b.mp4\nread a.mp4\n");
}

TEST(Progress, WritesOneObjectALineForPrograms) {
    testing::internal::CaptureStderr();
    Progress progress(ProgressStyle::json);
    progress.show("a\".mp4", 0.05);
    progress.show("a\".mp4", 0.12);
    progress.show("a\".mp4", 1.0);
    EXPECT_EQ(testing::internal::GetCapturedStderr(),
              "{\"clip\":\"a\\\".mp4\",\"from_cache\":false,\"schema\":\"sondeline-progress/1\","
              "\"share\":0.12}\n"
              "{\"clip\":\"a\\\".mp4\",\"from_cache\":false,\"schema\":\"sondeline-progress/1\","
              "\"share\":1.0}\n");
}

}  // namespace
}  // namespace sondeline::cli
