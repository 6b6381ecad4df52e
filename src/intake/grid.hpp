// The cells of a table as text, before anything is known of their meaning. Three readers make them.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "intake/finding_log.hpp"

namespace sondeline {

struct GridRow {
    int row = 0;  // as the user counts: 1 is the first row or line of the file
    std::vector<std::string> cells;
};

// The first row is the header. Rows without any text are left out; all text is valid UTF-8.
struct Grid {
    std::string file;  // as SourceCell has it
    std::vector<GridRow> rows;
    bool decimal_comma = false;  // numbers may be written 12,4
};

struct TableFile {
    std::filesystem::path path;
    std::string name;  // within the job folder
};

// Files beyond this are no table that a person filled in; they are refused with a finding.
inline constexpr std::size_t kMostTableBytes = std::size_t{32} << 20U;
inline constexpr std::size_t kMostCells = 1'000'000;

// Text in rows and cells; the separator (comma, semicolon or tab) is the one that the header has
// most of. A quote opens a quoted cell (RFC 4180) only at the beginning of a cell, so that 2' 6"
// may be typed as it is. Empty, with a finding, when the file is no text or cannot be read.
Grid read_csv(const TableFile& file, FindingLog& log);

// Every sheet of an .xlsx or .ods workbook; `file` of each is "day.xlsx#sheet". Dates come as
// 2026/05/14, times as 10:32:05. Empty, with a finding, when the workbook cannot be read.
std::vector<Grid> read_workbook(const TableFile& file, FindingLog& log);

// Points of a GPX, GeoJSON, GeoPackage or shapefile; row n is the n-th point. Positions stand in
// the columns lon and lat, or, when the file has the coordinate system `map_crs` ("EPSG:…") or
// none, in x and y; heights in "ground (m)". Columns without any value are left out.
Grid read_points(const TableFile& file, const std::string& map_crs, FindingLog& log);

}  // namespace sondeline
