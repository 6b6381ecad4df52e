#include <algorithm>
#include <numbers>

#include "intake/job_on_disk.hpp"

namespace sondeline {
namespace {

using testing::Contains;
using testing::ElementsAre;
using testing::IsEmpty;
using testing::Optional;
using testing::SizeIs;

constexpr double kDegree = std::numbers::pi / 180.0;

Job with(std::string_view runs) {
    JobOnDisk job;
    job.clip("a.mp4").clip("b.MP4");
    job.file("job.csv", "key,value\nlength unit,ft\ndate,2026-05-14\nutc offset,-05:00\n");
    job.file("structures.csv", "id,kind\nT1,tank\nD1,distribution box\n");
    job.file("runs.csv", runs);
    return job.read();
}

TEST(Runs, KnowWhetherTheirKindWasSaid) {
    const Job job =
        with("id,footage,kind\nA,a.mp4,other\nB,b.MP4,\nC,,leech lime\nD,,leach line\n");
    ASSERT_THAT(job.runs, SizeIs(4));
    EXPECT_TRUE(job.runs[0].kind_said);
    EXPECT_FALSE(job.runs[1].kind_said);
    EXPECT_FALSE(job.runs[2].kind_said);
    EXPECT_TRUE(job.runs[3].kind_said);
    EXPECT_EQ(job.runs[2].kind, RunKind::other);
}

TEST(Runs, AreReadWithAllTheirCells) {
    const Job job = with(
        "id,footage,kind,from,to,status,diameter,material,counter_unit,counter_decimals,counter_at_"
        "start,start_"
        "heading,"
        "start_invert_depth,end_invert_depth,footage_start,reel,note,crew\n"
        "L1,a.mp4;b.mp4,effluent line,T1,D1,capped,4 in,PVC,ft,2,1.5,N45E,2' 6\",30 "
        "in,10:32:05,big,"
        "wet,blue\n");
    EXPECT_THAT(job.findings, SizeIs(1)) << text_of(job.findings);  // the column crew
    ASSERT_THAT(job.runs, SizeIs(1));
    const sondeline::Run& run = job.runs[0];
    EXPECT_EQ(run.id.text, "L1");
    EXPECT_THAT(run.footage, ElementsAre("a.mp4", "b.MP4"));
    EXPECT_EQ(run.kind, RunKind::effluent_line);
    EXPECT_EQ(run.from->text, "T1");
    EXPECT_EQ(run.to->text, "D1");
    EXPECT_EQ(run.status, RunStatus::capped);
    EXPECT_NEAR(run.diameter_m->value, 0.1016, 1e-12);
    EXPECT_EQ(run.material, "PVC");
    EXPECT_THAT(run.counter_unit, Optional(LengthUnit::foot));
    EXPECT_THAT(run.counter_decimals, Optional(2));
    EXPECT_EQ(run.counter_at_start->value, 1.5);
    EXPECT_NEAR(run.start_heading_rad->value, 45 * kDegree, 1e-12);
    EXPECT_NEAR(run.start_invert_depth_m->value, 0.762, 1e-12);
    EXPECT_NEAR(run.end_invert_depth_m->value, 0.762, 1e-12);
    EXPECT_EQ(run.footage_start_s->value, *parse_clock_s("2026-05-14T15:32:05Z", "", 0.0));
    EXPECT_EQ(run.reel, "big");
    EXPECT_EQ(run.note, "wet");
    EXPECT_EQ(run.attributes.at("crew"), "blue");
    EXPECT_EQ(run.source.row, 2);
    EXPECT_FALSE(job.runs_from_footage);
}

TEST(Runs, CarryTheLengthOfTheSticksOfTheirPipe) {
    const Job job = with("id,footage,stick length (in)\nL1,a.mp4,120\nL2,b.mp4,\n");
    ASSERT_THAT(job.runs, SizeIs(2));
    EXPECT_NEAR(job.runs[0].stick_length_m->value, 3.048, 1e-12);
    EXPECT_EQ(job.runs[0].stick_length_m->source.row, 2);
    EXPECT_FALSE(job.runs[1].stick_length_m.has_value());
}

// 120 in the job's feet: no pipe comes in pieces of 37 m.
TEST(Runs, TakeNoStickThatNoPipeComesIn) {
    for (const char* typed : {"120", "0", "-10", "1 in", "long"}) {
        const Job job = with(std::string("id,footage,stick length\nL1,a.mp4,") + typed + "\n");
        ASSERT_THAT(job.runs, SizeIs(1)) << typed;
        EXPECT_FALSE(job.runs[0].stick_length_m.has_value()) << typed;
        EXPECT_EQ(std::ranges::count_if(job.findings,
                                        [](const Finding& finding) {
                                            return finding.where.column == "stick length";
                                        }),
                  1)
            << typed << text_of(job.findings);
    }
}

TEST(Runs, TakeNoDigitsBehindThePointThatNoReelHas) {
    for (const char* typed : {"4", "-1", "1.5", "one"}) {
        const Job job =
            with(std::string("id,footage,counter_decimals\nL1,a.mp4;b.MP4,") + typed + "\n");
        EXPECT_EQ(job.runs.at(0).counter_decimals, std::nullopt) << typed;
        EXPECT_THAT(job.findings, SizeIs(1)) << typed;
    }
}

TEST(Runs, KeepTheDirectionOfTheirStartHeading) {
    const Job job = with("id,footage,start_heading\nL1,a.mp4;b.mp4,220\n");
    EXPECT_NEAR(job.runs.at(0).start_heading_rad->value, 220 * kDegree, 1e-12);
}

TEST(Runs, MayEndBlind) {
    const Job job = with("id,footage,from,to\nL1,a;b,T1,\n");
    EXPECT_FALSE(job.runs.at(0).to);
    EXPECT_THAT(job.findings, IsEmpty()) << text_of(job.findings);
}

TEST(Runs, RefuseABareDiameterThatWouldBeFeet) {
    const Job job = with("id,footage,diameter\nL1,a;b,4\n");
    EXPECT_FALSE(job.runs.at(0).diameter_m);
    EXPECT_THAT(job.findings, Contains(Finds("column diameter", "it would be 1.22 m")));
    const Job forty = with("id,footage,diameter (in)\nL1,a;b,40\nL2,c,24\n");
    EXPECT_FALSE(forty.runs.at(0).diameter_m);
    EXPECT_THAT(forty.findings, Contains(Finds("row 2 column diameter", "it would be 1.02 m")));
    EXPECT_TRUE(forty.runs.at(1).diameter_m);
    const Job point = with("id,footage,diameter (in)\nL1,a;b,0.4\nL2,c,1.25\n");
    EXPECT_FALSE(point.runs.at(0).diameter_m);
    EXPECT_THAT(point.findings, Contains(Finds("row 2 column diameter", "it would be 0.01 m")));
    EXPECT_TRUE(point.runs.at(1).diameter_m);
}

TEST(Runs, TakeACounterInAnotherUnitIntoTheCounters) {
    const Job job =
        with("id,footage,counter_unit,counter_at_start\nL1,a,m,10 ft\nL2,b,ft,1' 6\"\n");
    EXPECT_NEAR(job.runs.at(0).counter_at_start->value, 3.048, 1e-12);
    EXPECT_NEAR(job.runs.at(1).counter_at_start->value, 1.5, 1e-12);
}

TEST(Runs, WithoutAnIdAreCalledLikeTheirFootage) {
    const Job job = with("id,footage\n,a.mp4;b.mp4\n,\nL3,\n");
    EXPECT_EQ(job.runs.at(0).id.text, "a");
    EXPECT_THAT(job.findings, Contains(Finds("runs.csv row 2", "'a' was taken")));
    EXPECT_THAT(job.findings, Contains(Finds("run L3", "names no footage")));
}

TEST(Runs, OfTheSameIdAreReported) {
    const Job job = with("id,footage\nL1,a\nL1,b\n");
    EXPECT_THAT(job.runs, SizeIs(1));
    EXPECT_THAT(job.findings, Contains(Finds("runs.csv row 3", "'L1' was already used")));
    EXPECT_THAT(job.findings, Contains(Finds("b.MP4", "No run names this clip")));
}

TEST(Runs, DoNotEndWhereTheyStart) {
    const Job job = with("id,footage,from,to\nL1,a;b,T1,T1\n");
    EXPECT_FALSE(job.runs.at(0).to);
    EXPECT_THAT(job.findings, Contains(Finds("runs.csv row 2 column to", "starts from")));
}

TEST(Runs, SayWhichWordsTheyKnow) {
    const Job job = with("id,footage,kind,status,counter_unit\nL1,a;b,drain,gone,rods\n");
    EXPECT_THAT(job.findings, Contains(Finds("column kind", "'drain'")));
    EXPECT_THAT(job.findings, Contains(Finds("column status", "'gone'")));
    EXPECT_THAT(job.findings, Contains(Finds("column counter_unit", "'rods'")));
}

}  // namespace
}  // namespace sondeline
