#include <gmock/gmock.h>

#include "sondeline/service.hpp"

#include "service/own_folder.hpp"
#include "service/table_forms.hpp"

namespace sondeline {
namespace {

namespace fs = std::filesystem;
using testing::Contains;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::Not;

class StartTables : public OwnFolder {};

TEST_F(StartTables, ListEveryClipAsARunInTheOrderPeopleCount) {
    for (const char* name : {"lateral 10.mp4", "lateral 2.mp4", "tank, to box.avi"}) {
        put(folder_ / name, "footage");
    }
    const Started started = start_tables(folder_);
    EXPECT_TRUE(started.error.empty()) << started.error;
    EXPECT_THAT(started.written, Contains("runs.csv"));
    const Job job = read_job_folder(folder_);
    ASSERT_EQ(job.runs.size(), 3U);
    EXPECT_EQ(job.runs[0].id.text, "lateral 2");
    EXPECT_THAT(job.runs[1].footage, ElementsAre("lateral 10.mp4"));
    EXPECT_THAT(job.runs[2].footage, ElementsAre("tank, to box.avi"));
}

TEST_F(StartTables, AreReadBackWithoutAWord) {
    put(folder_ / "L1.mp4", "footage");
    for (const LengthUnit unit : {LengthUnit::foot, LengthUnit::metre}) {
        for (const auto& entry : fs::directory_iterator(folder_)) {
            if (entry.path().extension() == ".csv") fs::remove(entry.path());
        }
        start_tables(folder_, {unit, false});
        const Job job = read_job_folder(folder_);
        EXPECT_EQ(job.settings.length_unit, unit);
        EXPECT_EQ(job.inputs.size(), 9U);
        for (const Finding& finding : job.findings) {
            ADD_FAILURE() << describe(finding.where) << ": " << finding.what;
        }
    }
}

TEST_F(StartTables, HaveHeadersThatTheReaderKnowsWithTheirUnits) {
    put(folder_ / "L1.mp4", "footage");
    start_tables(folder_);
    put(folder_ / "structures.csv",
        get(folder_ / "structures.csv") + "box,distribution box,-92.1,41.2,9 in,0.03,,\n");
    put(folder_ / "fixes.csv",
        get(folder_ / "fixes.csv") + "F1,L1,12.4,-92.1,41.2,0.06,30,96,sonde,\n");
    const Job job = read_job_folder(folder_);
    ASSERT_EQ(job.fixes.size(), 1U);
    EXPECT_NEAR(job.fixes[0].depth_m->value, 30 * 0.0254, 1e-12);
    EXPECT_EQ(job.fixes[0].h_accuracy_m->value, 0.06);
    ASSERT_EQ(job.structures.size(), 1U);
    for (const Finding& finding : job.findings) EXPECT_EQ(finding.severity, Severity::info);
}

TEST_F(StartTables, NeverTouchWhatStandsThere) {
    put(folder_ / "L1.mp4", "footage");
    put(folder_ / "L2.mp4", "footage");
    put(folder_ / "Runs.csv", "id,footage\nL1,L1.mp4\n");
    put(folder_ / "fixes.gpx", "<gpx/>");
    const Started started = start_tables(folder_);
    EXPECT_THAT(started.kept, Contains("runs"));
    EXPECT_THAT(started.kept, Contains("fixes"));
    EXPECT_THAT(started.written, Not(Contains("fixes.csv")));
    EXPECT_THAT(started.unlisted_clips, ElementsAre("L2.mp4"));
    EXPECT_EQ(get(folder_ / "Runs.csv"), "id,footage\nL1,L1.mp4\n");
    put(folder_ / "notes.csv", "typed since");
    EXPECT_TRUE(start_tables(folder_).written.empty());
    EXPECT_EQ(get(folder_ / "notes.csv"), "typed since");
}

TEST_F(StartTables, FollowNoLinkOutOfTheFolder) {
    put(folder_ / "elsewhere", "not ours");
    fs::create_directory(folder_ / "job");
    fs::create_symlink(folder_ / "elsewhere", folder_ / "job/notes.csv");
    fs::create_symlink(folder_ / "nowhere", folder_ / "job/ties.csv");
    start_tables(folder_ / "job");
    EXPECT_EQ(get(folder_ / "elsewhere"), "not ours");
    EXPECT_FALSE(fs::exists(folder_ / "nowhere"));
}

TEST_F(StartTables, InAWorkbookAreReadLikeTheOthers) {
    put(folder_ / "L1.mp4", "footage");
    const Started started = start_tables(folder_, {LengthUnit::foot, true});
    EXPECT_THAT(started.written, ElementsAre("tables.xlsx", "filling-in.txt"));
    const Job job = read_job_folder(folder_);
    ASSERT_EQ(job.runs.size(), 1U);
    EXPECT_THAT(job.runs[0].footage, ElementsAre("L1.mp4"));
    EXPECT_EQ(job.runs[0].source.file, "tables.xlsx#runs");
    const std::string before = get(folder_ / "tables.xlsx");
    start_tables(folder_, {LengthUnit::foot, true});
    EXPECT_EQ(get(folder_ / "tables.xlsx"), before);
}

TEST_F(StartTables, ComeWithExamplesThatTheReaderAccepts) {
    const std::string text = filling_in_text(LengthUnit::foot);
    EXPECT_THAT(text, HasSubstr("depth (in)"));
    EXPECT_THAT(text, HasSubstr("distribution box"));
    EXPECT_THAT(filling_in_text(LengthUnit::metre), HasSubstr("diameter (mm)"));
}

TEST_F(StartTables, SayWhenTheFolderCannotBeWritten) {
    EXPECT_FALSE(start_tables(folder_ / "nothing").error.empty());
}

}  // namespace
}  // namespace sondeline
