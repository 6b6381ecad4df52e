#include "intake/table.hpp"

#include <algorithm>
#include <array>
#include <optional>
#include <utility>

#include <fmt/format.h>

#include "intake/text.hpp"

namespace sondeline {

namespace {

constexpr std::array<std::pair<std::string_view, std::string_view>, 12> kOtherNames{{
    {"longitude", "lon"},
    {"long", "lon"},
    {"lng", "lon"},
    {"latitude", "lat"},
    {"easting", "x"},
    {"northing", "y"},
    {"elevation", "ground"},
    {"ground elevation", "ground"},
    {"name", "id"},
    {"notes", "note"},
    {"horizontal accuracy", "h accuracy"},
    {"vertical accuracy", "v accuracy"},
}};

struct Column {
    std::string typed;
    std::string key;  // empty: unknown
    std::string unit;
};

bool known(const TableForm& form, std::string_view key) {
    return std::ranges::find(form.columns, key) != form.columns.end();
}

// The table's own name for a header without its unit. Shapefiles cut names to ten characters.
std::optional<std::string> known_name(const TableForm& form, const std::string& name) {
    if (known(form, name)) return name;
    for (const auto& [other, own] : kOtherNames) {
        if (name == other && known(form, own)) return std::string(own);
    }
    if (!form.points || name.size() != 10) return std::nullopt;
    for (const std::string_view column : form.columns) {
        if (column.starts_with(name)) return std::string(column);
    }
    return std::nullopt;
}

// `depth (in)` and `depth [in]` always name a unit; `depth in` does when its last word is one.
Column column_from(const TableForm& form, const std::string& typed) {
    Column column{typed, "", ""};
    const std::string name = normalised(typed);
    if (const auto whole = known_name(form, name)) {
        column.key = *whole;
        return column;
    }
    const std::size_t open = typed.find_first_of("([");
    if (open != std::string::npos) {
        const std::size_t close = typed.find_first_of(")]", open);
        if (const auto before = known_name(form, normalised(typed.substr(0, open)))) {
            column.key = *before;
            column.unit = trim(std::string_view(typed).substr(
                open + 1, close == std::string::npos ? close : close - open - 1));
        }
        return column;
    }
    const std::size_t blank = name.rfind(' ');
    if (blank == std::string::npos || !parse_unit_in_metres(name.substr(blank + 1))) return column;
    if (const auto before = known_name(form, name.substr(0, blank))) {
        column.key = *before;
        column.unit = name.substr(blank + 1);
    }
    return column;
}

void report_unknown(const TableForm& form, const Grid& grid, const std::vector<Column>& columns,
                    FindingLog& log) {
    std::vector<std::string> unknown;
    for (const Column& column : columns) {
        if (column.key.empty() && !column.typed.empty()) unknown.push_back(shown(column.typed));
    }
    if (unknown.empty()) return;
    const bool one = unknown.size() == 1;
    if (unknown.size() > 20) unknown.resize(20);
    const std::vector<std::string> legal(form.columns.begin(), form.columns.end());
    log.info(
        {grid.file, grid.rows.front().row, ""},
        fmt::format("The column{} {} {} not known and {}.", one ? "" : "s", listed(unknown),
                    one ? "is" : "are", form.keeps_unknown ? "kept as attributes" : "not used"),
        fmt::format("Known columns are {}.", listed(legal)));
}

// Empty when the header names no column of this table.
std::vector<Column> columns_of(const TableForm& form, const Grid& grid, FindingLog& log) {
    const GridRow& header = grid.rows.front();
    std::vector<Column> columns;
    for (const std::string& typed : header.cells) {
        Column column = column_from(form, typed);
        const auto same = [&](const Column& other) {
            return !column.key.empty() && other.key == column.key;
        };
        if (std::ranges::any_of(columns, same)) {
            log.caution(
                {grid.file, header.row, typed},
                fmt::format("The column {} stands in the header a second time.", shown(column.key)),
                "Only the first is used; remove or rename the other.");
            column.key.clear();
        }
        columns.push_back(std::move(column));
    }
    const auto is_known = [](const Column& column) { return !column.key.empty(); };
    if (std::ranges::none_of(columns, is_known)) {
        const std::vector<std::string> legal(form.columns.begin(), form.columns.end());
        log.problem({grid.file, header.row, ""},
                    fmt::format("The first row names no column of the table {}.", form.name),
                    fmt::format("Let the first row name the columns: {}.", listed(legal)));
        return {};
    }
    report_unknown(form, grid, columns, log);
    return columns;
}

std::ptrdiff_t known_columns(const TableForm& form, const GridRow& row) {
    return std::ranges::count_if(row.cells, [&](const std::string& typed) {
        return !typed.empty() && !column_from(form, typed).key.empty();
    });
}

// Sheets made for people have a title above the header. The first row where it names a column, else
// the first of the next few that names two; the first where none does.
std::size_t header_place(const TableForm& form, const Grid& grid) {
    constexpr std::size_t most_titles = 5;
    if (known_columns(form, grid.rows.front()) > 0) return 0;
    for (std::size_t i = 1; i < grid.rows.size() && i <= most_titles; ++i) {
        if (known_columns(form, grid.rows[i]) >= 2) return i;
    }
    return 0;
}

// Unknown columns of the same or of no name stay apart.
void add_attribute(Attributes& attributes, const Column& column, std::size_t place,
                   const std::string& text) {
    std::string name = column.typed.empty() ? fmt::format("column {}", place + 1) : column.typed;
    if (attributes.contains(name)) name = fmt::format("{} ({})", name, place + 1);
    attributes[name] = text;
}

}  // namespace

void add_rows(Table& table, const TableForm& form, const Grid& grid, FindingLog& log) {
    table.given = true;
    if (grid.rows.empty()) return;
    if (const std::size_t header = header_place(form, grid); header > 0) {
        log.info({grid.file, grid.rows.front().row, ""},
                 fmt::format("The columns are named in row {}; what stands above was passed over.",
                             grid.rows[header].row),
                 "Strike the rows above the header if they are in the way.");
        Grid below = grid;
        below.rows.erase(below.rows.begin(),
                         below.rows.begin() + static_cast<std::ptrdiff_t>(header));
        add_rows(table, form, below, log);
        return;
    }
    const std::vector<Column> columns = columns_of(form, grid, log);
    if (columns.empty()) return;
    for (std::size_t i = 1; i < grid.rows.size(); ++i) {
        const GridRow& typed = grid.rows[i];
        TableRow row{{grid.file, typed.row, ""}, {}, {}};
        bool too_long = false;
        for (std::size_t c = 0; c < typed.cells.size(); ++c) {
            const std::string& text = typed.cells[c];
            if (text.empty()) continue;
            if (c >= columns.size()) {
                too_long = true;
            } else if (!columns[c].key.empty()) {
                row.cells[columns[c].key] = {text,
                                             columns[c].unit,
                                             {grid.file, typed.row, columns[c].typed},
                                             grid.decimal_comma};
            } else if (form.keeps_unknown) {
                add_attribute(row.attributes, columns[c], c, text);
            }
        }
        if (too_long) {
            log.problem(row.source, "The row has more cells than the header, so it was not used.",
                        "Put a cell that holds the separator in quotes, or name the column above.");
            continue;
        }
        table.rows.push_back(std::move(row));
    }
}

namespace {

// True when `row` says something that `first` does not.
bool fill_gaps(TableRow& first, const TableRow& row, const std::string& id, FindingLog& log) {
    bool filled = false;
    for (const auto& [key, cell] : row.cells) {
        const auto [place, is_new] = first.cells.try_emplace(key, cell);
        filled = filled || is_new;
        if (is_new || place->second.text == cell.text) continue;
        log.caution(
            cell.source,
            fmt::format("{} says {} of {}, but {} says {}; the latter is used.", cell.source.file,
                        shown(cell.text), shown(id), describe(where_is(place->second.source)),
                        shown(place->second.text)),
            "Keep the right one only.");
    }
    for (const auto& [name, text] : row.attributes) first.attributes.try_emplace(name, text);
    return filled;
}

}  // namespace

void join_rows_by_id(Table& table, FindingLog& log) {
    std::map<std::string, std::size_t> first_of;
    std::vector<TableRow> rows;
    for (TableRow& row : table.rows) {
        const auto id = row.cells.find("id");
        if (id == row.cells.end()) {
            rows.push_back(std::move(row));
            continue;
        }
        const std::string text = id->second.text;
        const auto [place, is_new] = first_of.try_emplace(text, rows.size());
        if (is_new) {
            rows.push_back(std::move(row));
            continue;
        }
        TableRow& first = rows[place->second];
        if (first.source.file == row.source.file) {
            log.problem(id->second.source,
                        fmt::format("The id {} was already used in row {}; this row was not used.",
                                    shown(text), first.source.row),
                        "Give every row an id of its own.");
        } else if (fill_gaps(first, row, text, log) &&
                   log.first_time({row.source.file, 0, ""}, "joined")) {
            log.info(row.source,
                     fmt::format("Rows were joined by their ids, this one to {}.",
                                 describe(where_is(first.source))),
                     "Give another id where they are not the same thing.");
        }
    }
    table.rows = std::move(rows);
}

}  // namespace sondeline
