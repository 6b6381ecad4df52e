#include <cstdlib>
#include <fstream>

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

struct Format {
    const char* driver;
    const char* ending;
};

class Workbook : public testing::TestWithParam<Format> {
  protected:
    void SetUp() override {
        RegisterOGRXLSX();
        RegisterOGRODS();
        dataset_.reset(GetGDALDriverManager()
                           ->GetDriverByName(GetParam().driver)
                           ->Create(path().c_str(), 0, 0, 0, GDT_Unknown, nullptr));
        ASSERT_TRUE(dataset_);
    }

    std::string name() const { return std::string("day") + GetParam().ending; }
    std::string path() const { return (job_.path() / name()).string(); }

    OGRLayer& sheet(const char* called,
                    const std::vector<std::pair<const char*, OGRFieldType>>& columns) {
        OGRLayer* layer = dataset_->CreateLayer(called, nullptr, wkbNone, nullptr);
        for (const auto& [column, type] : columns) {
            OGRFieldDefn field(column, type);
            layer->CreateField(&field);
        }
        return *layer;
    }

    // Cells that are nullptr stay empty.
    static void add(OGRLayer& layer, const std::vector<const char*>& cells) {
        OGRFeature feature(layer.GetLayerDefn());
        for (std::size_t c = 0; c < cells.size(); ++c) {
            if (cells[c] != nullptr) feature.SetField(static_cast<int>(c), cells[c]);
        }
        ASSERT_EQ(layer.CreateFeature(&feature), OGRERR_NONE);
    }

    void close() { dataset_.reset(); }

    JobOnDisk job_;
    GDALDatasetUniquePtr dataset_;
};

TEST_P(Workbook, GivesEveryKindOfCellAsTextThatParses) {
    OGRLayer& layer = sheet("fixes", {{"id", OFTInteger},
                                      {"depth", OFTReal},
                                      {"note", OFTString},
                                      {"clock", OFTTime},
                                      {"when", OFTDateTime},
                                      {"day", OFTDate}});
    add(layer, {"1", "2.5", "2' 6\"", "10:32:05", "2026/05/14 10:32:05", "2026/05/14"});
    add(layer, {"2", "0.1", nullptr, "0:01:15", nullptr, nullptr});
    close();
    FindingLog log;
    const std::vector<Grid> sheets = read_workbook(job_.table(name()), log);
    ASSERT_THAT(sheets, SizeIs(1));
    EXPECT_EQ(sheets[0].file, name() + "#fixes");
    ASSERT_THAT(sheets[0].rows, SizeIs(3));
    EXPECT_THAT(sheets[0].rows[0].cells,
                ElementsAre("id", "depth", "note", "clock", "when", "day"));
    const std::vector<std::string>& cells = sheets[0].rows[1].cells;
    EXPECT_EQ(sheets[0].rows[1].row, 2);
    EXPECT_EQ(cells[0], "1");
    EXPECT_EQ(cells[1], "2.5");
    EXPECT_EQ(cells[2], "2' 6\"");
    EXPECT_EQ(cells[3], "10:32:05");
    EXPECT_EQ(parse_clock_s(cells[4], "", 0.0), parse_clock_s("2026-05-14T10:32:05Z", "", 0.0));
    EXPECT_EQ(parse_video_time_s(sheets[0].rows[2].cells[3]), 75.0);
    EXPECT_EQ(parse_number(sheets[0].rows[2].cells[1]), 0.1);
}

TEST_P(Workbook, HoldsSeveralTablesOfAJob) {
    OGRLayer& job = sheet("Job", {{"key", OFTString}, {"value", OFTString}});
    add(job, {"length unit", "ft"});
    add(job, {"date", "2026/05/14"});
    OGRLayer& runs = sheet("runs", {{"id", OFTString}, {"footage", OFTString}});
    add(runs, {"L1", "one.mp4"});
    OGRLayer& fixes =
        sheet("Fixes", {{"run", OFTString}, {"counter", OFTReal}, {"depth (in)", OFTReal}});
    add(fixes, {"L1", "12.5", "30"});
    OGRLayer& other = sheet("Sums", {{"a", OFTString}});
    add(other, {"1"});
    close();
    job_.clip("one.mp4");
    const Job read = job_.read();
    EXPECT_EQ(read.settings.date, "2026-05-14");
    EXPECT_EQ(read.settings.length_unit, LengthUnit::foot);
    ASSERT_THAT(read.runs, SizeIs(1));
    ASSERT_THAT(read.fixes, SizeIs(1));
    EXPECT_NEAR(read.fixes[0].depth_m->value, 0.762, 1e-12);
    EXPECT_EQ(read.fixes[0].depth_m->source.file, name() + "#Fixes");
    EXPECT_EQ(read.fixes[0].depth_m->source.row, 2);
    EXPECT_THAT(read.findings, IsEmpty()) << text_of(read.findings);
}

TEST_P(Workbook, WithoutAnyTableIsMentioned) {
    OGRLayer& layer = sheet("Sheet1", {{"a", OFTString}});
    add(layer, {"1"});
    close();
    EXPECT_THAT(job_.read().findings, Contains(Finds(name(), "No sheet")));
}

TEST_P(Workbook, CutOffIsReported) {
    OGRLayer& layer = sheet("fixes", {{"run", OFTString}});
    for (int i = 0; i < 200; ++i) add(layer, {"L1"});
    close();
    std::filesystem::resize_file(path(), std::filesystem::file_size(path()) / 2);
    const Job read = job_.read();
    EXPECT_THAT(read.fixes, IsEmpty());
    EXPECT_THAT(read.findings, Contains(Finds(name(), "")));
}

// 2^30 times ten letters, told in thirty lines.
std::string expanding_entities() {
    std::string xml = "<!DOCTYPE x [<!ENTITY a0 \"aaaaaaaaaa\">";
    for (int i = 1; i <= 30; ++i) {
        const std::string before = "&a" + std::to_string(i - 1) + ";";
        xml += "<!ENTITY a" + std::to_string(i) + " \"" + before + before + "\">";
    }
    return xml + "]>";
}

// Puts `bytes` in the place of one file of the archive.
void replace_in_archive(const std::string& archive, const std::string& file,
                        const std::string& bytes) {
    const std::string script =
        "import sys, zipfile\n"
        "old = zipfile.ZipFile(sys.argv[1])\n"
        "files = [(i.filename, old.read(i)) for i in old.infolist()]\n"
        "assert any(name == sys.argv[2] for name, _ in files)\n"
        "with zipfile.ZipFile(sys.argv[1], 'w', zipfile.ZIP_DEFLATED) as new:\n"
        "    for name, data in files:\n"
        "        new.writestr(name, open(sys.argv[3], 'rb').read() if name == sys.argv[2] else "
        "data)";
    const std::string with = archive + ".xml";
    std::ofstream(with, std::ios::binary) << bytes;
    const std::string command =
        "python3 -c \"" + script + "\" '" + archive + "' '" + file + "' '" + with + "'";
    ASSERT_EQ(std::system(command.c_str()), 0);
    std::filesystem::remove(with);
}

TEST_P(Workbook, WhoseXmlExpandsIsRefusedOrReadShort) {
    add(sheet("fixes", {{"id", OFTString}, {"run", OFTString}}), {"F1", "L1"});
    close();
    const std::string head = "<?xml version=\"1.0\"?>" + expanding_entities();
    if (name().ends_with(".xlsx")) {
        replace_in_archive(
            path(), "xl/sharedStrings.xml",
            head +
                "<sst xmlns=\"http://schemas.openxmlformats.org/spreadsheetml/2006/main\">"
                "<si><t>id</t></si><si><t>run</t></si><si><t>&a30;</t></si>"
                "<si><t>&a30;</t></si></sst>");
    } else {
        replace_in_archive(
            path(), "content.xml",
            head +
                "<office:document-content><office:body><office:spreadsheet>"
                "<table:table table:name=\"fixes\"><table:table-row><table:table-cell>"
                "<text:p>id</text:p></table:table-cell></table:table-row><table:table-row>"
                "<table:table-cell><text:p>&a30;</text:p></table:table-cell></table:table-row>"
                "</table:table></office:spreadsheet></office:body></office:document-content>");
    }
    const Job read = job_.read();
    for (const Fix& fix : read.fixes) EXPECT_LT(fix.id.size(), 100'000U);
    EXPECT_FALSE(read.findings.empty());
}

// Blanks pack to a thousandth.
TEST_P(Workbook, ThatUnpacksToHundredsOfMegabytesIsRefused) {
    add(sheet("fixes", {{"id", OFTString}}), {"F1"});
    close();
    const std::string script =
        "import sys, zipfile\n"
        "with zipfile.ZipFile(sys.argv[1], 'a', zipfile.ZIP_DEFLATED) as book:\n"
        "    with book.open('xl/worksheets/sheet9.xml', 'w') as part:\n"
        "        for _ in range(300): part.write(b' ' * (1 << 20))";
    ASSERT_EQ(std::system(("python3 -c \"" + script + "\" '" + path() + "'").c_str()), 0);
    const Job read = job_.read();
    EXPECT_TRUE(read.fixes.empty());
    EXPECT_THAT(read.findings, Contains(Finds(name(), "")));
}

INSTANTIATE_TEST_SUITE_P(Of, Workbook,
                         testing::Values(Format{"XLSX", ".xlsx"}, Format{"ODS", ".ods"}),
                         [](const auto& of) { return std::string(of.param.driver); });

}  // namespace
}  // namespace sondeline
