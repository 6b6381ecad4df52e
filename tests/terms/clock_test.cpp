#include <gmock/gmock.h>

#include "sondeline/terms.hpp"

namespace sondeline {
namespace {

using testing::DoubleNear;
using testing::Eq;
using testing::Optional;

auto Seconds(double s) {
    return Optional(DoubleNear(s, 1e-6));
}

TEST(VideoTime, ReadsSecondsAndClockForm) {
    EXPECT_THAT(parse_video_time_s("75"), Seconds(75.0));
    EXPECT_THAT(parse_video_time_s(" 75.2 "), Seconds(75.2));
    EXPECT_THAT(parse_video_time_s("1:15"), Seconds(75.0));
    EXPECT_THAT(parse_video_time_s("75:20"), Seconds(4520.0));
    EXPECT_THAT(parse_video_time_s("0:01:15.2"), Seconds(75.2));
    EXPECT_THAT(parse_video_time_s("00:01:15,2"), Seconds(75.2));
    EXPECT_THAT(parse_video_time_s("1:02:03"), Seconds(3723.0));
}

TEST(VideoTime, RefusesWhatCouldBeMisread) {
    for (const char* text :
         {"", "-5", "1:5", "1:75", "1:15:75", "1.5:20", "1:02:03:04", "soon", "75 frames", "inf"}) {
        EXPECT_THAT(parse_video_time_s(text), Eq(std::nullopt)) << text;
    }
}

// The Unix time 1 234 567 890 is 2009-02-13T23:31:30Z, 946 684 800 is 2000-01-01T00:00:00Z and
// 951 782 400 is 2000-02-29T00:00:00Z (`date -u -d @…` of GNU coreutils prints the same).
TEST(Clock, CountsSecondsSince1970) {
    EXPECT_THAT(parse_clock_s("2009-02-13T23:31:30Z", "", 0.0), Seconds(1234567890.0));
    EXPECT_THAT(parse_clock_s("2000-01-01T00:00:00Z", "", 0.0), Seconds(946684800.0));
    EXPECT_THAT(parse_clock_s("2000-02-29 00:00", "", 0.0), Seconds(951782400.0));
    EXPECT_THAT(parse_clock_s("2009/02/13 23:31:30", "", 0.0), Seconds(1234567890.0));
    EXPECT_THAT(parse_clock_s("1970-01-01T00:00:00.25Z", "", 0.0), Seconds(0.25));
}

// 1 234 567 890 once more: Friday the 13th of February 2009.
TEST(Clock, ReadsTheDatesThatSpreadsheetsMakeWhereTheyCanBeReadOneWayOnly) {
    for (const char* text :
         {"13.02.2009 23:31:30", "13.2.2009 23:31:30", "2/13/2009 23:31:30", "13/02/2009 23:31:30",
          "02-13-2009 11:31:30 PM", "2009/2/13 23:31:30"}) {
        EXPECT_THAT(parse_clock_s(text, "", 0.0), Seconds(1234567890.0)) << text;
    }
    EXPECT_THAT(parse_clock_s("1/1/2000 0:00", "", 0.0), Seconds(946684800.0));
    EXPECT_THAT(parse_clock_s("01.02.2000 0:00", "", 0.0), Seconds(946684800.0 + 31 * 86400.0));
    for (const char* text : {"5/6/2026 10:00", "05-06-2026 10:00", "31.02.2009 10:00",
                             "13.13.2009 10:00", "13.02.09 10:00", "13./02.2009 10:00"}) {
        EXPECT_THAT(parse_clock_s(text, "", 0.0), Eq(std::nullopt)) << text;
    }
}

// RFC 3339 section 5.8: 1996-12-19T16:39:57-08:00 is the instant 1996-12-20T00:39:57Z.
TEST(Clock, AppliesTheZoneAsRfc3339Does) {
    const auto here = parse_clock_s("1996-12-19T16:39:57-08:00", "", 0.0);
    ASSERT_TRUE(here);
    EXPECT_THAT(parse_clock_s("1996-12-20T00:39:57Z", "", 0.0), Seconds(*here));
    EXPECT_THAT(parse_clock_s("1996-12-19T16:39:57", "", -8.0 * 3600.0), Seconds(*here));
    EXPECT_THAT(parse_clock_s("1996-12-20T06:09:57+0530", "", 0.0), Seconds(*here));
}

TEST(Clock, PutsABareTimeOnTheDateOfTheJob) {
    EXPECT_THAT(parse_clock_s("23:31:30", "2009-02-13", 0.0), Seconds(1234567890.0));
    EXPECT_THAT(parse_clock_s("11:31:30 PM", "2009-02-13", 0.0), Seconds(1234567890.0));
    EXPECT_THAT(parse_clock_s("12:00 am", "2000-01-01", 0.0), Seconds(946684800.0));
    EXPECT_THAT(parse_clock_s("9:05", "2000-01-01", 3600.0),
                Seconds(946684800.0 + 9 * 3600 + 300 - 3600));
    EXPECT_THAT(parse_clock_s("9:05", "", 0.0), Eq(std::nullopt));
}

TEST(Clock, RefusesImpossibleTimes) {
    for (const char* text :
         {"", "2026-02-30T10:00", "2026-13-01T10:00", "24:00", "10:60", "10:00:60", "10",
          "13:05 pm", "2026-05-14", "10:00 tomorrow", "2026-05-14T10:00+99:00", "5/6/2026 10:00"}) {
        EXPECT_THAT(parse_clock_s(text, "2026-05-14", 0.0), Eq(std::nullopt)) << text;
    }
}

}  // namespace
}  // namespace sondeline
