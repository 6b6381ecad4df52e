#include "intake/footage_files.hpp"

#include <algorithm>

#include "intake/job_on_disk.hpp"

namespace sondeline {
namespace {

using testing::Contains;
using testing::ElementsAre;
using testing::IsEmpty;
using testing::SizeIs;

std::vector<std::string> names(const Job& job) {
    std::vector<std::string> all;
    for (const FootageFile& file : job.footage) all.push_back(file.name);
    return all;
}

TEST(Footage, AloneMakesOneRunOfEveryFileInNaturalOrder) {
    JobOnDisk folder;
    folder.clip("run 10.mp4").clip("Run 2.MOV").clip("run 1.avi").clip("readme.pdf");
    const Job job = folder.read();
    EXPECT_TRUE(job.runs_from_footage);
    ASSERT_THAT(job.runs, SizeIs(3));
    EXPECT_EQ(job.runs[0].id.text, "run 1");
    EXPECT_EQ(job.runs[1].id.text, "Run 2");
    EXPECT_EQ(job.runs[2].id.text, "run 10");
    EXPECT_THAT(job.runs[1].footage, ElementsAre("Run 2.MOV"));
    ASSERT_THAT(job.findings, SizeIs(1)) << text_of(job.findings);  // what a map would need
    EXPECT_EQ(job.findings[0].severity, Severity::info);
}

TEST(Footage, OfTheSameStemMakesRunsOfDifferentIds) {
    JobOnDisk folder;
    folder.clip("a.mp4").clip("A.mov");
    const Job job = folder.read();
    ASSERT_THAT(job.runs, SizeIs(2));
    EXPECT_NE(job.runs[0].id, job.runs[1].id);
}

TEST(Footage, IsKnownByItsExtensionAndOnlyInTheFolderItself) {
    JobOnDisk folder;
    for (const char* ending : {"mp4", "mov", "m4v", "mkv", "avi", "mpg", "mpeg", "vob", "m2ts",
                               "ts", "wmv", "asf", "MPG"}) {
        folder.clip(std::string("clip-") + ending + "." + ending);
    }
    folder.clip("._hidden.mp4").clip("sheet.xls");
    std::filesystem::create_directory(folder.path() / "asbuilt");
    folder.clip("asbuilt/copy.mp4");
    std::filesystem::create_directory(folder.path() / "folder.mp4");
    EXPECT_THAT(folder.read().footage, SizeIs(13));
}

TEST(Footage, IsFoundWithoutRegardToCaseOrExtension) {
    JobOnDisk folder;
    folder.clip("Line One.MP4").clip("two.mp4").clip("two.avi");
    folder.file("runs.csv", "id,footage\nL1,line one\nL2,two.AVI\nL3,two\nL4,three.mp4\n");
    const Job job = folder.read();
    EXPECT_THAT(job.runs.at(0).footage, ElementsAre("Line One.MP4"));
    EXPECT_THAT(job.runs.at(1).footage, ElementsAre("two.avi"));
    EXPECT_THAT(job.runs.at(2).footage, IsEmpty());
    EXPECT_THAT(job.findings,
                Contains(Finds("runs.csv row 4 column footage", "could be two.avi and")));
    EXPECT_THAT(job.findings,
                Contains(Finds("runs.csv row 5 column footage", "not in the folder")));
    EXPECT_THAT(job.findings, Contains(Finds("two.mp4", "No run names this clip")));
    EXPECT_THAT(names(job), ElementsAre("Line One.MP4", "two.avi", "two.mp4"));
}

TEST(Footage, NamedTwiceIsReported) {
    JobOnDisk folder;
    folder.clip("a.mp4");
    folder.file("runs.csv", "id,footage\nL1,a\nL2,a;a\n");
    const Job job = folder.read();
    EXPECT_THAT(job.findings, Contains(Finds("runs.csv row 3", "names the clip a.mp4 twice")));
    EXPECT_THAT(job.findings, Contains(Finds("runs.csv row 3", "the runs L1 and L2")));
}

// The other run would get the length of this one's pipe.
TEST(Footage, NamedByTwoRunsIsThatOfNeither) {
    JobOnDisk folder;
    folder.clip("a.mp4").clip("b.mp4").clip("c.mp4");
    folder.file("runs.csv", "id,footage\nL1,a.mp4;b.mp4\nL2,b.mp4\nL3,c.mp4\n");
    const Job job = folder.read();
    ASSERT_THAT(job.runs, SizeIs(3));
    EXPECT_THAT(job.runs[0].footage, IsEmpty());
    EXPECT_THAT(job.runs[1].footage, IsEmpty());
    EXPECT_THAT(job.runs[2].footage, SizeIs(1));
    ASSERT_THAT(job.findings, SizeIs(2)) << text_of(job.findings);
    for (const Finding& finding : job.findings) {
        EXPECT_EQ(finding.consequence, Consequence::run_not_measured);
        EXPECT_NE(finding.what.find("b.mp4 is named by the runs L1 and L2"), std::string::npos)
            << finding.what;
    }
}

TEST(NaturalOrder, ComparesNumbersAsNumbers) {
    std::vector<std::string> all{"c10", "C2", "c02", "c", "b99", "c2a", "c99999999999999999999999"};
    std::ranges::sort(all, natural_less);
    EXPECT_THAT(all,
                ElementsAre("b99", "c", "C2", "c02", "c2a", "c10", "c99999999999999999999999"));
}

}  // namespace
}  // namespace sondeline
