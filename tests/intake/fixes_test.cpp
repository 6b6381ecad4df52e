#include <algorithm>
#include <numbers>

#include "intake/job_on_disk.hpp"

namespace sondeline {
namespace {

using testing::Contains;
using testing::IsEmpty;
using testing::SizeIs;

constexpr double kDegree = std::numbers::pi / 180.0;

Job with(std::string_view fixes, const std::string& settings = "length unit,ft\n") {
    JobOnDisk job;
    job.file("job.csv", "key,value\n" + settings);
    job.file("runs.csv", "id,status,counter_unit\nL1,not entered,ft\nL2,not entered,ft\n");
    job.file("fixes.csv", fixes);
    return job.read();
}

TEST(Fixes, AreReadWithAllTheirCells) {
    const Job job = with(
        "id,run,counter,lon,lat,ground,depth,heading,h_accuracy,depth_accuracy,heading_accuracy,"
        "ground_accuracy,method,receiver,note\n"
        "F1,L1,41.3,-92.5,40.0,812.4,2' 6\",40,0.5,1 in,5,0.1,probe,rover 2,by the fence\n");
    EXPECT_THAT(job.findings, IsEmpty()) << text_of(job.findings);
    ASSERT_THAT(job.fixes, SizeIs(1));
    const Fix& fix = job.fixes[0];
    EXPECT_EQ(fix.id, "F1");
    EXPECT_EQ(fix.run.text, "L1");
    EXPECT_EQ(fix.counter->value, 41.3);
    EXPECT_TRUE(fix.position->geographic);
    EXPECT_EQ(fix.position->x, -92.5);
    EXPECT_EQ(fix.position->y, 40.0);
    EXPECT_NEAR(fix.ground_m->value, 812.4 * 0.3048, 1e-9);
    EXPECT_NEAR(fix.depth_m->value, 0.762, 1e-12);
    EXPECT_NEAR(fix.heading_rad->value, 40 * kDegree, 1e-12);
    EXPECT_NEAR(fix.h_accuracy_m->value, 0.1524, 1e-12);
    EXPECT_NEAR(fix.depth_accuracy_m->value, 0.0254, 1e-12);
    EXPECT_NEAR(fix.heading_accuracy_rad->value, 5 * kDegree, 1e-12);
    EXPECT_NEAR(fix.ground_accuracy_m->value, 0.03048, 1e-12);
    EXPECT_EQ(fix.method, FixMethod::probe);
    EXPECT_EQ(fix.receiver, "rover 2");
    EXPECT_EQ(fix.note, "by the fence");
    EXPECT_EQ(fix.depth_m->source.row, 2);
}

TEST(Fixes, ShowTheLineOfThePipeNotItsDirection) {
    const Job job = with("run,counter,heading\nL1,1,40\nL1,2,220\n");
    EXPECT_NEAR(job.fixes.at(0).heading_rad->value, job.fixes.at(1).heading_rad->value, 1e-12);
}

TEST(Fixes, WithoutAnIdAreCounted) {
    const Job job = with("run,counter\nL1,1\nL1,2\n");
    EXPECT_EQ(job.fixes.at(1).id, "no. 2");
}

TEST(Fixes, ArePlacedByCounterTimeOrClock) {
    const Job job = with("run,counter,video_time,clock\nL1,12.5,,\nL1,,1:15,\nL1,,,10:32\nL1,,,\n",
                         "length unit,ft\ndate,2026-05-14\n");
    EXPECT_EQ(job.fixes.at(0).counter->value, 12.5);
    EXPECT_EQ(job.fixes.at(1).video_time_s->value, 75.0);
    EXPECT_EQ(job.fixes.at(2).clock_s->value, *parse_clock_s("2026-05-14T10:32Z", "", 0.0));
    EXPECT_FALSE(job.fixes.at(3).counter);
    EXPECT_THAT(job.findings, IsEmpty()) << text_of(job.findings);
}

TEST(Fixes, PlacedTwiceKeepTheFirstAndSaySo) {
    const Job job = with("run,counter,video_time\nL1,12.5,75\n");
    EXPECT_TRUE(job.fixes.at(0).counter);
    EXPECT_FALSE(job.fixes.at(0).video_time_s);
    EXPECT_THAT(job.findings, Contains(Finds("row 2 column video_time", "only the counter")));
}

TEST(Fixes, ByABareClockNeedADate) {
    const Job job = with("run,clock\nL1,10:32\nL1,10:35\nL1,2026-05-14T10:38Z\n");
    EXPECT_FALSE(job.fixes.at(0).clock_s);
    EXPECT_FALSE(job.fixes.at(1).clock_s);
    EXPECT_TRUE(job.fixes.at(2).clock_s);
    EXPECT_EQ(std::ranges::count_if(job.findings,
                                    [](const Finding& finding) {
                                        return finding.what.find("the job has no date") !=
                                               std::string::npos;
                                    }),
              1);
}

TEST(Fixes, TakeNoAccuracyOfZeroOrLess) {
    const Job job = with("run,counter,h_accuracy,depth_accuracy,heading_accuracy\nL1,1,0,-1,0\n");
    EXPECT_FALSE(job.fixes.at(0).h_accuracy_m);
    EXPECT_FALSE(job.fixes.at(0).depth_accuracy_m);
    EXPECT_FALSE(job.fixes.at(0).heading_accuracy_rad);
    EXPECT_THAT(job.findings, SizeIs(3));
    EXPECT_THAT(job.findings, Contains(Finds("column h_accuracy", "greater than zero")));
}

TEST(Fixes, TakeNoNegativeDepth) {
    const Job job = with("run,counter,depth\nL1,1,-3\n");
    EXPECT_FALSE(job.fixes.at(0).depth_m);
    EXPECT_THAT(job.findings, Contains(Finds("column depth", "negative")));
}

TEST(Positions, OnlyHalfGivenAreReported) {
    const Job job = with("run,counter,lon,lat\nL1,1,-92.5,\n");
    EXPECT_FALSE(job.fixes.at(0).position);
    EXPECT_THAT(job.findings, Contains(Finds("row 2 column lon", "lon but no lat")));
}

TEST(Positions, OffTheEarthOrAtNoughtAreNotUsed) {
    const Job job =
        with("run,counter,lon,lat\nL1,1,40,-92.5\nL1,2,0,0\nL1,3,200,10\nL1,4,east,40\n");
    for (const Fix& fix : job.fixes) EXPECT_FALSE(fix.position);
    EXPECT_THAT(job.findings, Contains(Finds("row 2", "look exchanged")));
    EXPECT_THAT(job.findings, Contains(Finds("row 3", "both 0")));
    EXPECT_THAT(job.findings, Contains(Finds("row 4", "not on the earth")));
    EXPECT_THAT(job.findings, Contains(Finds("row 5", "'east' is not a longitude")));
}

TEST(Positions, WithExchangedHeadingsAreToldOnce) {
    const Job job =
        with("run,counter,lat,lon\nL1,1,-92.5,40\nL1,2,-92.5,40.1\nL1,3,-92.5,40.2\nL1,4,10,200\n");
    for (const Fix& fix : job.fixes) EXPECT_FALSE(fix.position);
    EXPECT_THAT(job.findings, SizeIs(2)) << text_of(job.findings);
    EXPECT_THAT(job.findings, Contains(Finds("row 2", "look exchanged")));
    EXPECT_EQ(job.findings.front().consequence, Consequence::input_rejected);
    EXPECT_THAT(job.findings, Contains(Finds("row 5", "not on the earth.")));
}

TEST(Positions, MayBeInDegreesMinutesAndSeconds) {
    const Job job = with(
        "run,counter,lon,lat\nL1,1,\"92\u00b0 30' 00\"\" W\",40\u00b00'36\"N\nL1,2,92.5W,40.01 "
        "N\n");
    EXPECT_NEAR(job.fixes.at(0).position->x, -92.5, 1e-12) << text_of(job.findings);
    EXPECT_NEAR(job.fixes.at(0).position->y, 40.01, 1e-12);
    EXPECT_NEAR(job.fixes.at(1).position->x, -92.5, 1e-12);
}

TEST(Positions, OnALocalMapAreInTheJobsUnit) {
    const Job job = with("run,counter,x,y (m)\nL1,1,10,10\n");
    EXPECT_FALSE(job.fixes.at(0).position->geographic);
    EXPECT_NEAR(job.fixes.at(0).position->x, 3.048, 1e-12);
    EXPECT_NEAR(job.fixes.at(0).position->y, 10.0, 1e-12);
}

// EPSG:2277, Texas Central, counts in US survey feet.
TEST(Positions, OnAMapWithACodeStayInItsUnit) {
    const Job job = with("run,counter,x,y\nL1,1,3117500.5,10070000.25\nL1,2,1200 m,2400 m\n",
                         "length unit,m\ncrs,EPSG:2277\n");
    EXPECT_EQ(job.fixes.at(0).position->x, 3117500.5) << text_of(job.findings);
    EXPECT_EQ(job.fixes.at(0).position->y, 10070000.25);
    EXPECT_NEAR(job.fixes.at(1).position->x, 3937.0, 1e-6);
}

TEST(Depths, TenToSixtyTimesTooDeepAreReportedNotConverted) {
    const Job job = with("run,counter,depth\nL1,1,3\nL1,2,2.5\nL2,1,30\nL2,2,36\n");
    EXPECT_NEAR(job.fixes.at(2).depth_m->value, 30 * 0.3048, 1e-12);
    EXPECT_THAT(job.findings, SizeIs(1)) << text_of(job.findings);
    EXPECT_THAT(job.findings, Contains(Finds("fixes.csv column depth, run L2", "12 times")));
}

TEST(Depths, BeyondAnyTransmitterAreReported) {
    const Job job = with("run,counter,depth\nL1,1,36\n");
    EXPECT_THAT(job.findings, Contains(Finds("run L1", "deeper than a transmitter is heard")));
}

}  // namespace
}  // namespace sondeline
