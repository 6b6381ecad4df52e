// A layer as a value: columns with their descriptions, rows, geometry. The map, the tables and
// job.json are all written from these, so that every file shows the same figures.
#pragma once

#include <cstdint>
#include <span>
#include <variant>

#include "sondeline/terms.hpp"

namespace sondeline {

enum class ColumnType { text, real, integer, yes_no };
enum class LayerGeometry { none, point_z, point_zm, line_zm };

struct Column {
    std::string name;
    ColumnType type = ColumnType::text;
    std::string description;  // plain words, with the unit
};

// Map coordinates; z and m in metres.
struct Vertex {
    double x = 0.0;
    double y = 0.0;
    double z = 0.0;
    double m = 0.0;
};

// monostate: not measured.
using CellValue = std::variant<std::monostate, std::string, double, std::int64_t, bool>;

struct LayerRow {
    std::vector<CellValue> cells;  // one for each column
    std::vector<Vertex> geometry;  // empty: no place on the map
};

struct LayerTable {
    std::string name;
    std::string description;
    LayerGeometry geometry = LayerGeometry::none;
    std::vector<Column> columns;
    std::vector<LayerRow> rows;
};

// A measured value rounded to `decimals`, so that files do not show digits nobody measured; empty
// stays empty, and what is not finite becomes empty.
CellValue real_cell(std::optional<double> value, int decimals = 4);
// The same of one part of a figure with bounds: `&Bounded::lo95`.
CellValue part_cell(const std::optional<Bounded>& figure, double Bounded::*part, int decimals = 4);
CellValue text_cell(std::string_view value);  // an empty text is "not measured"
CellValue integer_cell(std::int64_t value);

// The layer of that name, and the cell of a row in the column of that name; a name that does not
// exist breaks a promise and throws std::logic_error.
const LayerTable& layer_named(std::span<const LayerTable> layers, std::string_view name);
const CellValue& cell_of(const LayerTable& layer, const LayerRow& row, std::string_view column);

// The cell as a number or a text; empty when it is not measured, or is of another type.
std::optional<double> number_in(const LayerTable& layer, const LayerRow& row,
                                std::string_view column);
std::string text_in(const LayerTable& layer, const LayerRow& row, std::string_view column);

// length_job of a row with its unit and all the decimals that its bounds deserve: "33.0 ft"; empty
// where it is not measured.
std::string job_length_words(const LayerTable& layer, const LayerRow& row);

}  // namespace sondeline
