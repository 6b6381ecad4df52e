#include "intake/job_on_disk.hpp"

namespace sondeline {
namespace {

using testing::Contains;
using testing::IsEmpty;
using testing::SizeIs;

Job with_levels(std::string_view rows) {
    JobOnDisk folder;
    folder.file("job.csv", "key,value\nlength unit,m\n");
    folder.file("structures.csv", "id,kind\nhouse,building\ntank in,tank\nbox,distribution box\n");
    folder.file("runs.csv", "id,status\nL1,not entered\n");
    folder.file("fixes.csv", "id,run,counter\nF1,L1,1\nF2,L1,2\n");
    folder.file("levels.csv",
                "setup,point,backsight,foresight,elevation\n1,BM,1.5,,100\n" + std::string(rows));
    return folder.read();
}

TEST(LevelPoints, ThatDifferInCaseAreSettledAndToldOnce) {
    const Job job = with_levels(
        "1,HOUSE,,1.1,\n1,f1,,1.2,\n1,f2,,1.3,\n1,TP1,,1.4,\n2,tp1,1.0,,\n2,BM,,1.1,\n");
    EXPECT_EQ(job.levels.at(1).point, "house");
    EXPECT_EQ(job.levels.at(2).point, "F1");
    EXPECT_EQ(job.levels.at(3).point, "F2");
    EXPECT_EQ(job.levels.at(5).point, "TP1");
    ASSERT_THAT(job.findings, SizeIs(1)) << text_of(job.findings);
    EXPECT_THAT(job.findings,
                Contains(Finds("levels.csv row 3 column point", "'HOUSE' was taken for 'house'")));
}

TEST(LevelPoints, ThatServeNothingAreToldWithTheNamesMostAlike) {
    const Job job =
        with_levels("1,house,,1.1,\n1,tank inlet,,1.2,\n1,d-box,,1.3,\n1,F 1,,1.3,\n1,peg,,1.4,\n");
    ASSERT_THAT(job.findings, SizeIs(1)) << text_of(job.findings);
    EXPECT_EQ(job.findings[0].severity, Severity::caution);
    EXPECT_THAT(job.findings,
                Contains(Finds("levels.csv row 4 column point",
                               "read at 'tank inlet' (is it 'tank in'?), 'd-box' (is it 'box'?), "
                               "'F 1' (is it 'F1'?) and 'peg', which no table lists")));
}

TEST(LevelPoints, OfTurnsAndBenchmarksServeWithoutBeingListed) {
    const Job job = with_levels(
        "1,house,,1.1,\n1,TP1,,1.4,\n2,TP1,1.0,,\n2,box,,1.3,\n2,BM,,1.1,\n2,BM2,,1.2,99.5\n");
    EXPECT_THAT(job.findings, IsEmpty()) << text_of(job.findings);
}

}  // namespace
}  // namespace sondeline
