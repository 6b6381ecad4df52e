#include <algorithm>

#include <fmt/format.h>

#include "intake/job_on_disk.hpp"

namespace sondeline {
namespace {

using testing::Contains;
using testing::IsEmpty;
using testing::SizeIs;

Job with(std::string_view structures) {
    JobOnDisk job;
    job.file("job.csv", "key,value\nlength unit,m\n");
    job.file("structures.csv", structures);
    return job.read();
}

TEST(Headers, MatchWithoutRegardToCaseBlanksHyphensAndUnderscores) {
    const Job job = with("ID,Kind,H-Accuracy,v_accuracy,GROUND\nT1,Distribution_Box,0.1,0.2,3\n");
    ASSERT_THAT(job.structures, SizeIs(1));
    EXPECT_EQ(job.structures[0].kind, StructureKind::distribution_box);
    EXPECT_EQ(job.structures[0].h_accuracy_m->value, 0.1);
    EXPECT_EQ(job.structures[0].v_accuracy_m->value, 0.2);
    EXPECT_EQ(job.structures[0].v_accuracy_m->source.column, "v_accuracy");
    EXPECT_THAT(job.findings, IsEmpty()) << text_of(job.findings);
}

TEST(Headers, MayHoldTheUnit) {
    const Job job = with("id,ground (in),h_accuracy [mm],v_accuracy_cm\nT1,10,20,3\n");
    EXPECT_NEAR(job.structures.at(0).ground_m->value, 0.254, 1e-12);
    EXPECT_NEAR(job.structures.at(0).h_accuracy_m->value, 0.02, 1e-12);
    EXPECT_NEAR(job.structures.at(0).v_accuracy_m->value, 0.03, 1e-12);
}

TEST(Headers, WithAnUnknownUnitAreReportedOnceAndTheColumnIsNotUsed) {
    const Job job = with("id,ground (fathoms)\nT1,1\nT2,2\n");
    EXPECT_FALSE(job.structures.at(0).ground_m);
    EXPECT_THAT(job.findings, SizeIs(1)) << text_of(job.findings);
    EXPECT_THAT(job.findings, Contains(Finds("column ground (fathoms)", "'fathoms'")));
}

TEST(Cells, WithTheirOwnUnitDoNotTakeTheHeaders) {
    const Job job = with("id,ground (in)\nT1,0.5 m\n");
    EXPECT_EQ(job.structures.at(0).ground_m->value, 0.5);
}

TEST(Cells, ThatAreNoLengthSayHowToWriteOne) {
    const Job job = with("id,ground\nT1,3 fathoms\n");
    EXPECT_FALSE(job.structures.at(0).ground_m);
    ASSERT_THAT(job.findings, SizeIs(1));
    EXPECT_EQ(describe(job.findings[0].where), "structures.csv row 2 column ground");
    EXPECT_EQ(job.findings[0].what, "The ground '3 fathoms' is not a length.");
    EXPECT_EQ(job.findings[0].what_to_do, "Write it like 2' 6\", 30 in or 0.76 m.");
    EXPECT_EQ(job.findings[0].consequence, Consequence::input_rejected);
}

TEST(UnknownColumns, AreKeptAsAttributesAndReportedOnce) {
    const Job job = with("id,lid colour,lid,lid\nT1,green,a,b\nT2,,,\n");
    EXPECT_EQ(job.structures.at(0).attributes.at("lid colour"), "green");
    EXPECT_THAT(job.structures[0].attributes, SizeIs(3));
    EXPECT_THAT(job.structures[1].attributes, IsEmpty());
    EXPECT_THAT(job.findings, SizeIs(1)) << text_of(job.findings);
    EXPECT_THAT(job.findings, Contains(Finds("structures.csv row 1", "'lid colour'")));
}

TEST(OtherWords, ThatAreUsualOnSiteAreUnderstood) {
    JobOnDisk folder;
    folder.file("structures.csv", "id,kind\nA,Manhole\nB,septic tank\nC,D-box\nD,House\n");
    folder.file("runs.csv", "id,kind\nR,sewer\nS,leach line\n");
    const Job job = folder.read();
    ASSERT_EQ(job.structures.size(), 4U);
    EXPECT_EQ(job.structures[0].kind, StructureKind::junction);
    EXPECT_EQ(job.structures[1].kind, StructureKind::tank);
    EXPECT_EQ(job.structures[2].kind, StructureKind::distribution_box);
    EXPECT_EQ(job.structures[3].kind, StructureKind::building);
    EXPECT_EQ(job.runs[0].kind, RunKind::other);
    EXPECT_TRUE(job.runs[0].kind_said);
    EXPECT_EQ(job.runs[1].kind, RunKind::lateral);
    for (const Finding& finding : job.findings) {
        EXPECT_THAT(finding.what, testing::Not(testing::HasSubstr("one of the words")));
    }
}

TEST(UnknownWords, AreReportedWithTheLegalOnes) {
    const Job job = with("id,kind\nT1,bathtub\n");
    EXPECT_EQ(job.structures.at(0).kind, StructureKind::other);
    ASSERT_THAT(job.findings, Contains(Finds("column kind", "'bathtub'")));
    EXPECT_NE(job.findings[0].what_to_do.find("distribution box"), std::string::npos);
}

TEST(RepeatedColumns, AreReportedAndTheFirstIsUsed) {
    const Job job = with("id,ground,ground\nT1,1,2\n");
    EXPECT_EQ(job.structures.at(0).ground_m->value, 1.0);
    EXPECT_THAT(job.findings, Contains(Finds("row 1 column ground", "second time")));
}

TEST(RaggedRows, ThatAreTooShortLackTheirLastCells) {
    const Job job = with("id,kind,ground\nT1\nT2,tank\n");
    EXPECT_THAT(job.structures, SizeIs(2));
    EXPECT_THAT(job.findings, IsEmpty());
}

TEST(RaggedRows, ThatAreTooLongAreReportedAndNotUsed) {
    const Job job = with("id,ground\nT1,1,5\nT2,2,\n");
    ASSERT_THAT(job.structures, SizeIs(1));
    EXPECT_EQ(job.structures[0].id.text, "T2");
    EXPECT_THAT(job.findings,
                Contains(Finds("structures.csv row 2", "more cells than the header")));
}

TEST(DecimalCommas, AreReadWhereTheSeparatorIsASemicolon) {
    EXPECT_EQ(with("id;ground\nT1;1,5\n").structures.at(0).ground_m->value, 1.5);
    const Job job = with("id,ground\nT1,\"1,5\"\n");
    EXPECT_FALSE(job.structures.at(0).ground_m);
    EXPECT_THAT(job.findings, Contains(Finds("row 2 column ground", "'1,5' is not a length")));
}

TEST(RepeatedIds, AreReportedAndTheFirstRowIsKept) {
    const Job job = with("id,ground\nT1,1\nT1,2\n");
    ASSERT_THAT(job.structures, SizeIs(1));
    EXPECT_EQ(job.structures[0].ground_m->value, 1.0);
    EXPECT_THAT(job.findings, Contains(Finds("structures.csv row 3", "already used in row 2")));
}

TEST(RowsOfTwoFiles, ThatDisagreeAreReportedAndTheFirstIsKept) {
    JobOnDisk folder;
    folder.file("job.csv", "key,value\nlength unit,m\n");
    folder.file("structures.csv", "id,ground\nT1,1\n");
    folder.file("structures.geojson",
                R"({"type":"FeatureCollection","features":[{"type":"Feature","properties":
                {"id":"T1","ground":2},"geometry":null}]})");
    const Job job = folder.read();
    ASSERT_THAT(job.structures, SizeIs(1));
    EXPECT_EQ(job.structures[0].ground_m->value, 1.0);
    EXPECT_THAT(job.findings, Contains(Finds("structures.geojson row 1", "says '2' of 'T1'")));
}

TEST(Tables, InTwoPlacesAreReported) {
    JobOnDisk folder;
    folder.file("notes.csv", "run,what\n").file("Notes.CSV", "run,what\n");
    EXPECT_THAT(folder.read().findings, Contains(Finds("otes", "stands in")));
}

TEST(Tables, WithoutAnyKnownColumnAreReported) {
    const Job job = with("1,2,3\n4,5,6\n");
    EXPECT_THAT(job.structures, IsEmpty());
    EXPECT_THAT(job.findings, Contains(Finds("structures.csv row 1", "names no column")));
}

TEST(Tables, OfSheetsMadeForPeopleBeginBelowTheirTitle) {
    JobOnDisk job;
    job.file(
        "structures.csv",
        "Structures of the day,,,\n,,,\nsurveyed by crew 2,,,\nid,kind,note,\nT1,tank,sound,\n");
    const Job read = job.read();
    ASSERT_EQ(read.structures.size(), 1U);
    EXPECT_EQ(read.structures[0].note, "sound");
    EXPECT_EQ(read.structures[0].source.row, 5);
    EXPECT_NE(text_of(read.findings).find("named in row 4"), std::string::npos);
}

TEST(Tables, WithoutAHeaderAreNotReadFromARowThatNamesAColumnByChance) {
    JobOnDisk job;
    job.file("structures.csv", "T1,tank,sound\nT2,note,sound\n");
    EXPECT_TRUE(job.read().structures.empty());
}

TEST(Tables, TellAColumnThatIsWrongThroughoutByItsRows) {
    JobOnDisk job;
    std::string table = "id,run,counter,depth (in)\n";
    for (int i = 1; i <= 9; ++i) {
        table += fmt::format("F{},L1,{},{}\n", i, i, i == 6 ? "30" : "-30");
    }
    job.file("runs.csv", "id,kind\nL1,lateral\n").file("fixes.csv", table);
    const Job read = job.read();
    const auto told = std::ranges::count_if(read.findings, [](const Finding& finding) {
        return finding.where.file == "fixes.csv" && finding.where.column == "depth (in)";
    });
    EXPECT_EQ(told, 4) << text_of(read.findings);
    EXPECT_NE(text_of(read.findings).find("The same holds for 5 more rows: 5 to 6, 8 to 10."),
              std::string::npos)
        << text_of(read.findings);
}

}  // namespace
}  // namespace sondeline
