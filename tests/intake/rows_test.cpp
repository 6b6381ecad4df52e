#include <fmt/format.h>

#include "intake/job_on_disk.hpp"

namespace sondeline {
namespace {

using testing::Contains;
using testing::IsEmpty;
using testing::SizeIs;

// Litres in a US gallon: 3.785411784 (NIST SP 811, appendix B.8).
constexpr double kGallonM3 = 3.785411784e-3;

Job with(const std::string& name, std::string_view rows,
         const std::string& settings = "length unit,ft\n") {
    JobOnDisk job;
    job.file("job.csv", "key,value\n" + settings);
    job.file("structures.csv", "id,kind\nA,reference\nB,reference\nT1,tank\n");
    job.file("runs.csv", "id,status,counter_unit\nL1,not entered,ft\n");
    job.file(name, rows);
    return job.read();
}

TEST(Structures, HaveCapacityInTheUnitGiven) {
    JobOnDisk folder;
    folder.file("structures.csv", "id,capacity\nT1,1000 gal\nT2,3.8 m3\nT3,900 L\nT4,1000\n");
    const Job job = folder.read();
    EXPECT_NEAR(job.structures.at(0).capacity_m3->value, 1000 * kGallonM3, 1e-9);
    EXPECT_NEAR(job.structures.at(1).capacity_m3->value, 3.8, 1e-12);
    EXPECT_NEAR(job.structures.at(2).capacity_m3->value, 0.9, 1e-12);
    EXPECT_FALSE(job.structures.at(3).capacity_m3);
    EXPECT_THAT(job.findings, Contains(Finds("row 5 column capacity", "it has no unit")));
}

TEST(Structures, HaveCapacityInGallonsWhereTheJobIsInFeet) {
    JobOnDisk folder;
    folder.file("job.csv", "key,value\nlength unit,ft\n");
    folder.file("structures.csv", "id,capacity\nT1,1000\nT2,1500\n");
    const Job job = folder.read();
    EXPECT_NEAR(job.structures.at(0).capacity_m3->value, 1000 * kGallonM3, 1e-9);
    EXPECT_THAT(job.findings, SizeIs(1));
    EXPECT_THAT(job.findings, Contains(Finds("column capacity", "US gallons")));
}

TEST(Structures, WithoutAnIdAreReported) {
    JobOnDisk folder;
    folder.file("structures.csv", "id,kind\n,tank\n");
    const Job job = folder.read();
    EXPECT_THAT(job.structures, IsEmpty());
    EXPECT_THAT(job.findings, Contains(Finds("structures.csv row 2", "no id")));
}

TEST(Ties, AreReadWithTheirSides) {
    const Job job = with(
        "ties.csv", "point,reference,distance,accuracy,side\nT1,A,34' 6\",1 in,left\nT1,B,20,,R\n");
    EXPECT_THAT(job.findings, IsEmpty()) << text_of(job.findings);
    ASSERT_THAT(job.ties, SizeIs(2));
    EXPECT_NEAR(job.ties[0].distance_m, 34.5 * 0.3048, 1e-12);
    EXPECT_NEAR(job.ties[0].accuracy_m.value(), 0.0254, 1e-12);
    EXPECT_EQ(job.ties[0].side, TieSide::left);
    EXPECT_EQ(job.ties[1].side, TieSide::right);
    EXPECT_NEAR(job.ties[1].distance_m, 6.096, 1e-12);
    EXPECT_FALSE(job.ties[1].accuracy_m);
}

TEST(Ties, ThatCannotBeUsedAreReported) {
    const Job job = with("ties.csv",
                         "point,reference,distance,side\nT1,,5,\nT1,A,0,\nT1,A,long,\nT1,T1,5,\n"
                         "T1,A,5,up\nT1,Z,5,\n");
    EXPECT_THAT(job.ties, SizeIs(2));
    EXPECT_THAT(job.findings, Contains(Finds("ties.csv row 2", "two different points")));
    EXPECT_THAT(job.findings, Contains(Finds("ties.csv row 3", "no usable distance")));
    EXPECT_THAT(job.findings, Contains(Finds("ties.csv row 4", "'long' is not a length")));
    EXPECT_THAT(job.findings, Contains(Finds("ties.csv row 5", "two different points")));
    EXPECT_THAT(job.findings, Contains(Finds("ties.csv row 6 column side", "'up'")));
    EXPECT_THAT(job.findings,
                Contains(Finds("ties.csv row 7 column reference", "no structure 'Z'")));
}

TEST(Levels, AreReadWithTheirBenchmark) {
    const Job job = with(
        "levels.csv", "setup,point,backsight,foresight,elevation\n1,A,4.20,,100\n1,TP1,,2.50,\n");
    EXPECT_THAT(job.findings, IsEmpty()) << text_of(job.findings);
    ASSERT_THAT(job.levels, SizeIs(2));
    EXPECT_EQ(job.levels[0].setup, "1");
    EXPECT_NEAR(job.levels[0].backsight_m.value(), 4.2 * 0.3048, 1e-12);
    EXPECT_NEAR(job.levels[0].elevation_m.value(), 30.48, 1e-12);
    EXPECT_FALSE(job.levels[0].foresight_m);
    EXPECT_NEAR(job.levels[1].foresight_m.value(), 0.762, 1e-12);
}

TEST(Levels, InAnotherUnitThanTheJobAreReadAndToldOnce) {
    const Job job = with("levels.csv",
                         "setup,point,backsight (m),foresight (m),elevation\n1,A,1.2,,100\n"
                         "1,TP1,,2.5,\n");
    ASSERT_THAT(job.levels, SizeIs(2));
    EXPECT_NEAR(job.levels[0].backsight_m.value(), 1.2, 1e-12);
    EXPECT_THAT(job.findings, SizeIs(1)) << text_of(job.findings);
    EXPECT_THAT(job.findings, Contains(Finds("levels.csv row 2", "too large by that factor")));
}

TEST(Levels, ThatCannotBeUsedAreReported) {
    const Job job =
        with("levels.csv",
             "setup,point,backsight,foresight,elevation\n1,,4,,\n1,A,,,\n,A,4,,\n,A,,,100\n");
    EXPECT_THAT(job.levels, SizeIs(1));
    EXPECT_THAT(job.findings, Contains(Finds("levels.csv row 2", "names no point")));
    EXPECT_THAT(job.findings, Contains(Finds("levels.csv row 3", "no usable reading")));
    EXPECT_THAT(job.findings, Contains(Finds("levels.csv row 4", "does not say the setup")));
}

TEST(Records, AreReadInTheUnitOfTheirItem) {
    const Job job =
        with("records.csv",
             "document,dated,item,of,value,unit\n"
             "permit,1987,run length,L1,60,ft\npermit,1987,total trench length,,320,\n"
             "permit,1987,number of laterals,,4,\npermit,1987,tank capacity,T1,1000,gal\n"
             "permit,1987,Depth,L1,30,in\npermit,1987,slope,L1,1,%\n"
             "permit,1987,slope,L1,1/8,in/ft\npermit,1987,slope,L1,1:100,\n"
             "permit,1987,install year,,1987,\n");
    EXPECT_THAT(job.findings, IsEmpty()) << text_of(job.findings);
    ASSERT_THAT(job.records, SizeIs(9));
    EXPECT_NEAR(job.records[0].value, 18.288, 1e-12);
    EXPECT_EQ(job.records[0].as_written, "60 ft");
    EXPECT_EQ(job.records[0].of, "L1");
    EXPECT_NEAR(job.records[1].value, 320 * 0.3048, 1e-12);
    EXPECT_EQ(job.records[2].value, 4.0);
    EXPECT_NEAR(job.records[3].value, 1000 * kGallonM3, 1e-9);
    EXPECT_NEAR(job.records[4].value, 0.762, 1e-12);
    EXPECT_NEAR(job.records[5].value, 0.01, 1e-15);
    EXPECT_NEAR(job.records[6].value, 0.125 / 12.0, 1e-15);  // 1.0417 %
    EXPECT_NEAR(job.records[7].value, 0.01, 1e-15);
    EXPECT_EQ(job.records[8].value, 1987.0);
}

TEST(Records, ThatCannotBeUsedAreReported) {
    const Job job =
        with("records.csv",
             "document,item,of,value,unit\np,colour,,red,\np,slope,L1,1,\np,depth,L1,,\n"
             "p,number of laterals,,3.5,\np,install year,,87,\np,depth,X9,3,ft\n"
             "p,tank capacity,T1,big,gal\n");
    EXPECT_THAT(job.records, SizeIs(1));
    EXPECT_THAT(job.findings, Contains(Finds("records.csv row 2", "'colour'")));
    EXPECT_THAT(job.findings, Contains(Finds("records.csv row 3", "'1' is not a slope")));
    EXPECT_THAT(job.findings, Contains(Finds("records.csv row 4", "says no value")));
    EXPECT_THAT(job.findings, Contains(Finds("records.csv row 5", "'3.5' is not a count")));
    EXPECT_THAT(job.findings, Contains(Finds("records.csv row 6", "'87' is not a year")));
    EXPECT_THAT(job.findings, Contains(Finds("records.csv row 7 column of", "'X9'")));
    EXPECT_THAT(job.findings, Contains(Finds("records.csv row 8", "'big' is not a volume")));
}

TEST(Notes, AreReadWithWhereTheyWereSeen) {
    const Job job =
        with("notes.csv",
             "run,counter,video_time,to_counter,what,category,severity\n"
             "L1,12.5,,20,roots at the joint,root,heavy\nL1,,1:15,,water,standing-water,\n"
             "L1,,,,odd,rust,\n");
    ASSERT_THAT(job.notes, SizeIs(3));
    EXPECT_EQ(job.notes[0].counter->value, 12.5);
    EXPECT_EQ(job.notes[0].to_counter->value, 20.0);
    EXPECT_EQ(job.notes[0].category, NoteCategory::root);
    EXPECT_EQ(job.notes[0].severity, "heavy");
    EXPECT_EQ(job.notes[1].video_time_s->value, 75.0);
    EXPECT_EQ(job.notes[1].category, NoteCategory::standing_water);
    EXPECT_EQ(job.notes[2].category, NoteCategory::other);
    EXPECT_THAT(job.findings, Contains(Finds("notes.csv row 4 column category", "'rust'")));
}

TEST(GradeTable, GivesWhatTheCamerasLevelShowed) {
    const Job job = with("grade.csv",
                         "run,counter,percent\nl1,12.5,-1.5\nL1,13,2.25\nL1,,1\nL1,14,999\n"
                         "X9,3,1\n",
                         "length unit,ft\ninclination downhill,negative\n");
    ASSERT_THAT(job.grade, SizeIs(5));
    EXPECT_EQ(job.grade[0].run.text, "L1");
    EXPECT_EQ(job.grade[0].counter->value, 12.5);
    EXPECT_EQ(job.grade[0].percent->value, -1.5);
    EXPECT_EQ(job.settings.inclination_sign, InclinationSign::downhill_negative);
    EXPECT_THAT(job.findings, Contains(Finds("grade.csv row 4", "needs counter and percent")));
    EXPECT_THAT(job.findings, Contains(Finds("grade.csv row 5", "not a grade in percent")));
    EXPECT_THAT(job.findings, Contains(Finds("grade.csv row 6", "X9")));
    EXPECT_THAT(with("grade.csv", "", "inclination downhill,-\n").settings.inclination_sign,
                InclinationSign::downhill_negative);
    EXPECT_THAT(with("grade.csv", "", "inclination downhill,down\n").findings,
                Contains(Finds("column inclination downhill", "not positive or negative")));
}

TEST(LoadTest, IsReadStepByStep) {
    const Job job = with("load test.csv",
                         "step,clock,volume,seconds,point,level,note\nbucket,,5 gal,31.5,,,\n"
                         "start,10:32,,,D1,2 in,\nbad,,,-3,,,\n",
                         "length unit,ft\ndate,2026-05-14\n");
    ASSERT_THAT(job.load_test, SizeIs(3));
    EXPECT_NEAR(job.load_test[0].volume_m3->value, 5 * kGallonM3, 1e-12);
    EXPECT_EQ(job.load_test[0].seconds->value, 31.5);
    EXPECT_EQ(job.load_test[1].clock_s->value, *parse_clock_s("2026-05-14T10:32Z", "", 0.0));
    EXPECT_NEAR(job.load_test[1].level_m->value, 0.0508, 1e-12);
    EXPECT_FALSE(job.load_test[2].seconds);
    EXPECT_THAT(job.findings, SizeIs(1)) << text_of(job.findings);
}

TEST(LoadTestTable, NeedsNoDateForTheTimeFromOneStepToTheNext) {
    const auto minutes = [](const char* start, const char* stop) {
        const Job job =
            with("loadtest.csv", fmt::format("step,clock\nstart,{}\nstop,{}\n", start, stop),
                 "length unit,ft\n");
        EXPECT_THAT(job.findings, IsEmpty()) << text_of(job.findings);
        return (job.load_test[1].clock_s->value - job.load_test[0].clock_s->value) / 60.0;
    };
    EXPECT_DOUBLE_EQ(minutes("13:02", "13:32"), 30.0);
    EXPECT_DOUBLE_EQ(minutes("13:02", "2026-05-14 13:32"), 30.0);  // on the day of the other one
}

}  // namespace
}  // namespace sondeline
