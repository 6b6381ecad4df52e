#include "deliverables/csv_text.hpp"

#include <cmath>

#include <gtest/gtest.h>

namespace sondeline {
namespace {

// RFC 4180: `"a ""b"", c",2` holds the fields: a "b", c / 2.
TEST(CsvText, QuotesFieldsByTheStandard) {
    EXPECT_EQ(csv_field("a \"b\", c"), "\"a \"\"b\"\", c\"");
    EXPECT_EQ(csv_field("plain"), "plain");
    EXPECT_EQ(csv_field("two\nlines"), "\"two\nlines\"");
}

TEST(CsvText, DisarmsWhatASpreadsheetWouldTakeForAFormula) {
    EXPECT_EQ(csv_field("=1+2"), "'=1+2");
    EXPECT_EQ(csv_field("@cmd"), "'@cmd");
    EXPECT_EQ(csv_field("-12.5"), "-12.5");
    EXPECT_EQ(csv_field("-a"), "'-a");
    EXPECT_EQ(csv_field("\t\t2"), "'\t\t2");
}

TEST(CsvText, LeavesWhatWasNotMeasuredEmpty) {
    LayerTable table{"t", "", LayerGeometry::none, {{"a"}, {"b"}}, {}};
    table.rows.push_back({{CellValue{}, real_cell(1.25)}, {}});
    EXPECT_EQ(layer_csv(table), "a,b\n,1.25\n");
}

TEST(RealCells, BeyondRoundingKeepTheirValue) {
    EXPECT_EQ(std::get<double>(real_cell(1.7e308, 8)), 1.7e308);
    EXPECT_TRUE(std::holds_alternative<std::monostate>(real_cell(HUGE_VAL, 4)));
}

}  // namespace
}  // namespace sondeline
