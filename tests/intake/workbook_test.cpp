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

INSTANTIATE_TEST_SUITE_P(Of, Workbook,
                         testing::Values(Format{"XLSX", ".xlsx"}, Format{"ODS", ".ods"}),
                         [](const auto& of) { return std::string(of.param.driver); });

}  // namespace
}  // namespace sondeline
