// A table of the job: rows whose cells are found by the name of their column.
#pragma once

#include <map>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "sondeline/intake.hpp"

#include "intake/grid.hpp"

namespace sondeline {

// What a table is called and which columns it knows, both as normalised() writes them.
struct TableForm {
    std::string_view name;
    std::span<const std::string_view> columns;
    bool keeps_unknown = false;  // unknown columns become attributes, else they are left out
    bool points = false;         // may also be GPX, GeoJSON, GeoPackage or shapefile
};

struct TextCell {
    std::string text;
    std::string unit;  // from the header: "in" of "depth (in)"; empty when none
    SourceCell source;
    bool decimal_comma = false;
};

struct TableRow {
    SourceCell source;                                   // column empty
    std::map<std::string, TextCell, std::less<>> cells;  // by normalised column; none is empty
    Attributes attributes;
};

struct Table {
    bool given = false;  // some file or sheet was there, whether or not it could be read
    std::vector<TableRow> rows;
};

// Adds the rows of `grid` to `table`. The header may give a unit: `depth (in)`, `depth [in]` or
// `depth_in`. Findings: unknown and repeated columns, a header without any known column, rows with
// more cells than the header (not added: what stands where cannot be known).
void add_rows(Table& table, const TableForm& form, const Grid& grid, FindingLog& log);

// Rows of the same id: those of one file are repetitions, and the first is kept, with a finding.
// Those of different files are joined: cells that the first lacks are taken from the other, so that
// waypoints of a receiver and a sheet of depths make one table. Where both say something and it
// differs, the first is kept, with a finding. Joining is mentioned once for a file. Rows without an
// id are left as they are.
void join_rows_by_id(Table& table, FindingLog& log);

}  // namespace sondeline
