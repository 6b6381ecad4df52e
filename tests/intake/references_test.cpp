#include "intake/job_on_disk.hpp"

namespace sondeline {
namespace {

using testing::Contains;
using testing::IsEmpty;
using testing::SizeIs;

TEST(References, ToRunsThatAreNotThereAreReported) {
    JobOnDisk folder;
    folder.file("runs.csv", "id,status\nL1,not entered\nL2,not entered\n");
    folder.file("fixes.csv", "run,counter\nL9,1\n,2\n");
    folder.file("notes.csv", "run,counter,what\nL9,1,root\n");
    const Job job = folder.read();
    EXPECT_THAT(job.fixes, SizeIs(2));
    EXPECT_THAT(job.findings, Contains(Finds("fixes.csv row 2 column run", "no run 'L9'")));
    EXPECT_THAT(job.findings,
                Contains(Finds("fixes.csv row 3 column run", "does not say its run")));
    EXPECT_THAT(job.findings, Contains(Finds("notes.csv row 2 column run", "no run 'L9'")));
}

TEST(References, ThatDifferInCaseAreSettled) {
    JobOnDisk folder;
    folder.file("runs.csv", "id,status\nL1,not entered\n");
    folder.file("fixes.csv", "run,counter\nl1,1\n");
    const Job job = folder.read();
    EXPECT_EQ(job.fixes.at(0).run.text, "L1");
    EXPECT_THAT(job.findings,
                Contains(Finds("fixes.csv row 2 column run", "'l1' was taken for 'L1'")));
}

TEST(References, MayBeLeftOutWhenThereIsOneRun) {
    JobOnDisk folder;
    folder.clip("a.mp4");
    folder.file("fixes.csv", "counter\n1\n2\n");
    const Job job = folder.read();
    EXPECT_TRUE(job.runs_from_footage);
    EXPECT_EQ(job.fixes.at(1).run.text, "a");
    EXPECT_THAT(job.findings, SizeIs(2))
        << text_of(job.findings);  // and that there is no runs table
}

TEST(References, ToStructuresThatOnlyRunsNameMakeThem) {
    JobOnDisk folder;
    folder.file("structures.csv", "id,kind\nT1,tank\n");
    folder.file("runs.csv", "id,status,from,to\nL1,not entered,T1,D1\nL2,not entered,D1,\n");
    const Job job = folder.read();
    ASSERT_THAT(job.structures, SizeIs(2));
    EXPECT_EQ(job.structures[1].id.text, "D1");
    EXPECT_FALSE(job.structures[1].position);
    EXPECT_THAT(job.findings, SizeIs(1)) << text_of(job.findings);
    EXPECT_THAT(job.findings, Contains(Finds("runs.csv row 2 column to", "'D1'")));
}

}  // namespace
}  // namespace sondeline
