#include "intake/position_log.hpp"

#include <cmath>
#include <numbers>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "intake/job_on_disk.hpp"

namespace sondeline {
namespace {

using ::testing::Contains;
using ::testing::HasSubstr;
using ::testing::Not;

constexpr const char* kJob = "key,value\ndate,2026-05-14\nlength unit,m\nutc offset,-05:00\n";
constexpr const char* kRuns = "id,footage,kind\nL1,,lateral\n";

std::string sentence(const std::string& body) {
    unsigned sum = 0;
    for (const char c : body) sum ^= static_cast<unsigned char>(c);
    return fmt::format("${}*{:02X}\r\n", body, sum);
}

// A receiver with a fixed solution that stands at 40° N for half a minute, then walks north at one
// metre a second: 1 / 1855 minutes of arc.
std::string a_walk() {
    std::string text = sentence("GNZDA,150000.00,14,05,2026,00,00");
    for (int second = 0; second < 60; ++second) {
        const double minutes = second < 30 ? 0.0 : (second - 30) / 1852.0;
        text += sentence(
            fmt::format("GNGGA,1500{:02}.00,40{:07.4f},N,09230.0000,W,4,18,0.7,200.0,M,-30.0,M,,",
                        second, minutes));
    }
    return text;
}

Job job_with(const std::string& fixes, const std::string& log_name, const std::string& log) {
    JobOnDisk job;
    job.file("job.csv", kJob).file("runs.csv", kRuns).file("fixes.csv", fixes).file(log_name, log);
    return job.read();
}

TEST(PositionLog, GivesAFixThePlaceWhereTheReceiverStoodAtItsClock) {
    const Job job = job_with("id,run,counter,clock\nF1,L1,3.5,10:00:15\n", "day.nmea", a_walk());
    const Fix& fix = job.fixes.at(0);
    ASSERT_TRUE(fix.position) << text_of(job.findings);
    EXPECT_NEAR(fix.position->y, 40.0, 1e-9);
    EXPECT_NEAR(fix.position->x, -92.5, 1e-9);
    EXPECT_EQ(fix.position->source.file, "day.nmea");
    EXPECT_EQ(fix.counter->value, 3.5);
    EXPECT_NEAR(fix.h_accuracy_m->value, 0.02 * 0.7 / std::numbers::sqrt2, 1e-9);
    EXPECT_THAT(job.findings,
                Contains(testing::Field(&Finding::what, HasSubstr("1 of 1 fixes with a clock"))));
}

TEST(PositionLog, GivesNoPlaceWhileTheReceiverWalked) {
    const Job job = job_with("id,run,clock\nF1,L1,10:00:45\n", "day.nmea", a_walk());
    EXPECT_FALSE(job.fixes.at(0).position);
    EXPECT_THAT(job.findings, Contains(Finds("fixes.csv row 2", "the receiver moved by")));
}

TEST(PositionLog, SpeaksFeetInAJobInFeet) {
    JobOnDisk job;
    job.file("job.csv", "key,value\ndate,2026-05-14\nlength unit,ft\nutc offset,-05:00\n")
        .file("runs.csv", kRuns)
        .file("fixes.csv", "id,run,clock\nF1,L1,10:00:45\n")
        .file("day.nmea", a_walk());
    EXPECT_THAT(job.read().findings,
                Contains(testing::Field(&Finding::what,
                                        testing::ContainsRegex("moved by [0-9.]+ ft about"))));
}

TEST(PositionLog, GivesNoPlaceWhereItHoldsNothing) {
    const Job job = job_with("id,run,clock\nF1,L1,11:00:15\n", "day.nmea", a_walk());
    EXPECT_FALSE(job.fixes.at(0).position);
    EXPECT_THAT(job.findings, Contains(Finds("fixes.csv row 2", "holds no position within 5 s")));
}

TEST(PositionLog, LeavesATypedPositionAlone) {
    const Job job = job_with("id,run,counter,clock,lon,lat\nF1,L1,3.5,10:00:15,-92.6,40.1\n",
                             "day.nmea", a_walk());
    EXPECT_EQ(job.fixes.at(0).position->y, 40.1);
    EXPECT_THAT(job.inputs, Not(Contains(testing::Field(&InputFile::name, "day.nmea"))));
}

TEST(PositionLog, IsAlsoReadFromTheTrackOfAGpxFile) {
    std::string gpx =
        "<?xml version=\"1.0\"?><gpx version=\"1.1\" creator=\"t\" "
        "xmlns=\"http://www.topografix.com/GPX/1/1\"><trk><trkseg>";
    for (int second = 0; second < 30; ++second) {
        gpx += fmt::format(
            "<trkpt lat=\"40.0\" lon=\"-92.5\"><time>2026-05-14T15:00:{:02}Z</time>"
            "<fix>dgps</fix><hdop>1.0</hdop></trkpt>",
            second);
    }
    gpx += "</trkseg></trk></gpx>";
    const Job job = job_with("id,run,counter,clock\nF1,L1,3.5,10:00:15\n", "walk.gpx", gpx);
    ASSERT_TRUE(job.fixes.at(0).position) << text_of(job.findings);
    EXPECT_NEAR(job.fixes.at(0).position->y, 40.0, 1e-9);
    EXPECT_NEAR(job.fixes.at(0).h_accuracy_m->value, 1.2 / std::numbers::sqrt2, 1e-9);
}

TEST(PositionLog, OfGarbageIsAFinding) {
    const Job job =
        job_with("id,run,clock\nF1,L1,10:00:15\n", "day.nmea", std::string("\0\xFF$$$*\n", 8));
    EXPECT_FALSE(job.fixes.at(0).position);
    EXPECT_THAT(job.findings, Contains(Finds("day.nmea", "holds no position")));
}

}  // namespace
}  // namespace sondeline
