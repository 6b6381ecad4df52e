#include <algorithm>
#include <fstream>

#include <fmt/format.h>

#include "intake/grid.hpp"
#include "intake/text.hpp"

// GDAL's CSV reader is not used here: it takes any quote for the beginning of quoted text, so that
// a depth typed as 2' 6" swallows the next row without a word, and it drops cells beyond the
// header.
namespace sondeline {

namespace {

std::optional<std::string> read_file(const TableFile& file, FindingLog& log) {
    const SourceCell whole{file.name, 0, ""};
    std::ifstream in(file.path, std::ios::binary);
    std::string bytes;
    char block[1U << 16U];
    while (in && bytes.size() <= kMostTableBytes) {
        in.read(block, sizeof block);
        bytes.append(block, static_cast<std::size_t>(in.gcount()));
    }
    if (!in.eof() && bytes.size() <= kMostTableBytes) {
        log.problem(whole, "The file cannot be opened or read.",
                    "Check that it is not open in another program and that you may read it.");
        return std::nullopt;
    }
    if (bytes.size() > kMostTableBytes) {
        log.problem(whole, "The file is too large to be a table of the job.",
                    "Keep only the rows of this job in it.");
        return std::nullopt;
    }
    return bytes;
}

struct Splitter {
    std::string_view rest;
    char separator = ',';
    int line = 1;
    bool quote_left_open = false;

    bool at_line_end() const {
        return rest.empty() || rest.front() == '\n' || rest.front() == '\r';
    }

    // A line feed, a carriage return, or both.
    void take_line_end() {
        if (rest.empty()) return;
        rest.remove_prefix(rest.starts_with("\r\n") ? 2 : 1);
        ++line;
    }

    std::string take_plain() {
        const char ends[] = {separator, '\n', '\r', '\0'};
        const std::size_t end = std::min(rest.find_first_of(ends), rest.size());
        std::string text(trim(rest.substr(0, end)));
        rest.remove_prefix(end);
        return text;
    }

    // Quoted text; whatever follows the closing quote up to the separator is kept as well. When the
    // quote is never closed it is a sign like any other.
    std::string take_quoted() {
        std::string text;
        std::size_t i = 1;
        for (; i < rest.size(); ++i) {
            if (rest[i] != '"') {
                text += rest[i];
            } else if (i + 1 < rest.size() && rest[i + 1] == '"') {
                text += rest[i++];
            } else {
                break;
            }
        }
        if (i >= rest.size()) {
            quote_left_open = true;
            return take_plain();
        }
        line += static_cast<int>(std::count(text.begin(), text.end(), '\n'));
        rest.remove_prefix(i + 1);
        return text + take_plain();
    }

    std::string take_cell() {
        const std::size_t first = std::min(rest.find_first_not_of(' '), rest.size());
        // After a quote that is never closed all others stand in pairs: none of them opens a cell.
        if (first < rest.size() && rest[first] == '"' && !quote_left_open) {
            rest.remove_prefix(first);
            return take_quoted();
        }
        return take_plain();
    }

    std::vector<std::string> take_row() {
        std::vector<std::string> cells;
        while (true) {
            cells.push_back(clean_utf8(take_cell()));
            if (at_line_end()) break;
            rest.remove_prefix(1);
        }
        take_line_end();
        return cells;
    }
};

char likely_separator(std::string_view header) {
    char best = ',';
    std::ptrdiff_t most = 0;
    for (const char candidate : {',', ';', '\t'}) {
        std::ptrdiff_t count = 0;
        bool quoted_text = false;
        for (const char c : header) {
            if (c == '"') quoted_text = !quoted_text;
            if (c == candidate && !quoted_text) ++count;
        }
        if (count > most) {
            most = count;
            best = candidate;
        }
    }
    return best;
}

// The first line that has any text. Spreadsheets may write `sep=;` above the header.
char find_separator(Splitter& splitter) {
    while (!splitter.rest.empty() && trim(splitter.rest.substr(0, 1)).empty() &&
           splitter.rest.front() != '\t') {
        if (splitter.at_line_end()) {
            splitter.take_line_end();
        } else {
            splitter.rest.remove_prefix(1);
        }
    }
    const std::string_view line = splitter.rest.substr(
        0, std::min(splitter.rest.find_first_of("\r\n"), splitter.rest.size()));
    if (line.size() == 5 && line.starts_with("sep=")) {
        splitter.rest.remove_prefix(line.size());
        splitter.take_line_end();
        return line.back();
    }
    return likely_separator(line);
}

void warn_of_stray_quotes(const Grid& grid, const GridRow& row, char separator, FindingLog& log) {
    for (const std::string& cell : row.cells) {
        const std::size_t line_end = cell.find('\n');
        if (line_end == std::string::npos || cell.find(separator) == std::string::npos) continue;
        log.caution(
            {grid.file, row.row, ""},
            fmt::format("The cell {} goes over several lines and may have swallowed rows.",
                        shown(cell)),
            "Look for a stray \" at its beginning; remove it if the rows below are missing.");
    }
}

}  // namespace

Grid read_csv(const TableFile& file, FindingLog& log) {
    Grid grid{file.name, {}, false};
    const SourceCell whole{file.name, 0, ""};
    const auto bytes = read_file(file, log);
    if (!bytes) return grid;
    const auto text = decode_text(*bytes);
    if (!text) {
        log.problem(whole, "The file is no text, although its name says it is a table.",
                    "Save the table again as CSV.");
        return grid;
    }
    if (text->from_latin) {
        log.info(whole, "The file is not UTF-8; its letters were read as Windows-1252.",
                 "Check accented letters, or save the table as CSV UTF-8.");
    }
    Splitter splitter{text->utf8};
    splitter.separator = find_separator(splitter);
    grid.decimal_comma = splitter.separator == ';' || splitter.separator == '\t';
    std::size_t cells = 0;
    while (!splitter.rest.empty()) {
        GridRow row{splitter.line, {}};
        row.cells = splitter.take_row();
        cells += row.cells.size();
        if (cells > kMostCells) {
            log.problem({file.name, row.row, ""},
                        "The table is too large; rows from here on were not read.",
                        "Keep only the rows of this job in it.");
            break;
        }
        if (std::ranges::all_of(row.cells, &std::string::empty)) continue;
        warn_of_stray_quotes(grid, row, splitter.separator, log);
        grid.rows.push_back(std::move(row));
    }
    if (splitter.quote_left_open) {
        log.caution(whole,
                    "A quote at the beginning of a cell is never closed; it was kept as text.",
                    "Remove the quote, or close it at the end of the cell.");
    }
    return grid;
}

}  // namespace sondeline
