#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include "intake/grid.hpp"
#include "intake/job_on_disk.hpp"

namespace sondeline {
namespace {

using testing::Contains;
using testing::ElementsAre;
using testing::IsEmpty;
using testing::SizeIs;

struct ReadText {
    Grid grid;
    Findings findings;
    const std::vector<std::string>& cells(std::size_t row) const { return grid.rows.at(row).cells; }
};

ReadText read(std::string_view bytes) {
    JobOnDisk job;
    job.file("t.csv", bytes);
    FindingLog log;
    Grid grid = read_csv(job.table("t.csv"), log);
    return {std::move(grid), log.take()};
}

// RFC 4180 section 2: quoted fields may hold separators, line breaks and doubled quotes; its
// example "b ""bb" is the field b "bb.
TEST(Csv, ReadsQuotedCellsAsRfc4180Says) {
    const ReadText text = read("a,b\r\n\"b \"\"bb\",\"x,y\"\r\n\"two\r\nlines\",z\r\n");
    EXPECT_THAT(text.cells(1), ElementsAre("b \"bb", "x,y"));
    EXPECT_EQ(text.cells(2)[1], "z");
}

// The CSV reader of GDAL is the peer for well-formed tables.
TEST(Csv, AgreesWithGdalOnWellFormedTables) {
    JobOnDisk job;
    job.file("t.csv", "id;depth;note\n1;\"2' 6\"\"\";plain\n2;;\"a; b\"\n3;0,76;\"two\nlines\"\n");
    FindingLog log;
    const Grid grid = read_csv(job.table("t.csv"), log);
    RegisterOGRCSV();
    const char* const drivers[] = {"CSV", nullptr};
    const GDALDatasetUniquePtr peer(GDALDataset::Open((job.path() / "t.csv").c_str(),
                                                      GDAL_OF_VECTOR, drivers, nullptr, nullptr));
    ASSERT_TRUE(peer);
    std::size_t row = 0;
    for (const auto& feature : *peer->GetLayer(0)) {
        ++row;
        ASSERT_LT(row, grid.rows.size());
        for (int c = 0; c < 3; ++c) {
            EXPECT_EQ(grid.rows[row].cells[static_cast<std::size_t>(c)],
                      feature->GetFieldAsString(c));
        }
    }
    EXPECT_EQ(row + 1, grid.rows.size());
}

TEST(Csv, TakesInchMarksInsideACellAsTheyAre) {
    const ReadText text = read("id,depth,note\n1,2' 6\",a\n2,30\",b\n3,\"2' 6\"\"\",c\n");
    ASSERT_THAT(text.grid.rows, SizeIs(4));
    EXPECT_THAT(text.cells(1), ElementsAre("1", "2' 6\"", "a"));
    EXPECT_THAT(text.cells(2), ElementsAre("2", "30\"", "b"));
    EXPECT_THAT(text.cells(3), ElementsAre("3", "2' 6\"", "c"));
    EXPECT_THAT(text.findings, IsEmpty());
}

TEST(Csv, FindsTheSeparatorInTheHeader) {
    EXPECT_THAT(read("a;b;c, d\n1;2,5;x\n").cells(1), ElementsAre("1", "2,5", "x"));
    EXPECT_THAT(read("a\tb\n1\t2,5\n").cells(1), ElementsAre("1", "2,5"));
    EXPECT_THAT(read("sep=;\na;b\n1;2\n").cells(1), ElementsAre("1", "2"));
    EXPECT_THAT(read("\"a;b;c;d\",e,f\n1,2,3\n").cells(1), ElementsAre("1", "2", "3"));
}

TEST(Csv, AllowsADecimalCommaOnlyWhereTheCommaSeparatesNothing) {
    EXPECT_TRUE(read("a;b\n").grid.decimal_comma);
    EXPECT_TRUE(read("a\tb\n").grid.decimal_comma);
    EXPECT_FALSE(read("a,b\n").grid.decimal_comma);
}

TEST(Csv, CountsRowsAsAnEditorDoes) {
    const ReadText text = read("\n\na,b\r\n\r\n1,\"x\ny\"\r\n,\r\n2,z");
    ASSERT_THAT(text.grid.rows, SizeIs(3));
    EXPECT_EQ(text.grid.rows[0].row, 3);
    EXPECT_EQ(text.grid.rows[1].row, 5);
    EXPECT_EQ(text.grid.rows[2].row, 8);
}

TEST(Csv, ReadsEveryUsualEncodingAlike) {
    const std::vector<std::string> expected{"caf\u00e9", "\U0001F4A7"};
    const std::string utf8 = "a,b\ncaf\u00e9,\U0001F4A7\n";
    EXPECT_EQ(read(utf8).cells(1), expected);
    EXPECT_EQ(read("\xEF\xBB\xBF" + utf8).cells(1), expected);
    EXPECT_EQ(read("\xEF\xBB\xBF" + utf8).cells(0)[0], "a");
    std::string little = "\xFF\xFE";
    std::string big = "\xFE\xFF";
    for (const char16_t unit : std::u16string(u"a,b\ncaf\u00e9,\U0001F4A7\n")) {
        const char low = static_cast<char>(unit & 0xFF);
        const char high = static_cast<char>(unit >> 8);
        little += {low, high};
        big += {high, low};
    }
    EXPECT_EQ(read(little).cells(1), expected);
    EXPECT_EQ(read(big).cells(1), expected);
    const ReadText latin = read("a,b\ncaf\xE9,x\n");
    EXPECT_EQ(latin.cells(1)[0], "caf\u00e9");
    EXPECT_THAT(latin.findings, Contains(Finds("t.csv", "Windows-1252")));
}

TEST(Csv, KeepsTheRowsBelowAQuoteThatIsNeverClosed) {
    const ReadText text = read("a,b\n1,\"open\n2,x\n3,y\n");
    ASSERT_THAT(text.grid.rows, SizeIs(4));
    EXPECT_THAT(text.cells(1), ElementsAre("1", "\"open"));
    EXPECT_THAT(text.cells(3), ElementsAre("3", "y"));
    EXPECT_THAT(text.findings, Contains(Finds("t.csv", "never closed")));
}

TEST(Csv, WarnsOfACellThatMayHaveSwallowedRows) {
    const ReadText text = read("a,b\n1,\"open\n2,x\n3,\"y\"\n");
    EXPECT_THAT(text.findings, Contains(Finds("row 2", "swallowed")));
}

TEST(Csv, RefusesBinaryDataWithAFinding) {
    std::string bytes;
    for (int i = 0; i < 5000; ++i) bytes += static_cast<char>(i * 7919 % 256);
    const ReadText text = read(bytes);
    EXPECT_THAT(text.grid.rows, IsEmpty());
    EXPECT_THAT(text.findings, Contains(Finds("t.csv", "no text")));
}

TEST(Csv, ReadsManyStrayQuotesInReasonableTime) {
    std::string bytes = "a,b\n";
    for (int i = 0; i < 100'000; ++i) bytes += "\",\"\"x\"\n";
    EXPECT_GT(read(bytes).grid.rows.size(), 1U);
}

TEST(Csv, StopsAtAnAbsurdNumberOfCells) {
    const ReadText text = read("a,b\n" + std::string(2'000'000, ','));
    EXPECT_THAT(text.findings, Contains(Finds("t.csv", "too large")));
}

}  // namespace
}  // namespace sondeline
