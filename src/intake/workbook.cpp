#include <algorithm>
#include <memory>

#include <cpl_conv.h>
#include <cpl_vsi.h>
#include <fmt/format.h>

#include "intake/grid.hpp"
#include "intake/open_dataset.hpp"
#include "intake/text.hpp"

namespace sondeline {

namespace {

// An .xlsx or .ods is a zip archive; a small one can unpack to any size.
constexpr GUIntBig kMostUnpackedBytes = GUIntBig{256} << 20U;

bool unpacks_to_a_sane_size(const TableFile& file) {
    const std::string inside = "/vsizip/{" + file.path.string() + "}";
    const std::unique_ptr<VSIDIR, decltype(&VSICloseDir)> dir(
        VSIOpenDir(inside.c_str(), -1, nullptr), &VSICloseDir);
    if (!dir) return true;  // no archive at all: the driver will say so
    GUIntBig total = 0;
    while (const VSIDIREntry* entry = VSIGetNextDirEntry(dir.get())) {
        total += entry->nSize;
        if (total > kMostUnpackedBytes) return false;
    }
    return true;
}

// `PT10H32M05S`, as OpenDocument writes a time of day, becomes 10:32:05.
std::string clock_from_duration(const std::string& text) {
    const std::size_t h = text.find('H');
    const std::size_t m = text.find('M');
    if (!text.starts_with("PT") || !text.ends_with('S') || h == std::string::npos ||
        m == std::string::npos || h < 3 || m < h) {
        return text;
    }
    std::string seconds = text.substr(m + 1, text.size() - m - 2);
    if (const std::size_t point = seconds.find('.'); point != std::string::npos) {
        seconds.erase(std::max(point, seconds.find_last_not_of('0') + 1));
        if (seconds.ends_with('.')) seconds.pop_back();
    }
    return text.substr(2, h - 2) + ":" + text.substr(h + 1, m - h - 1) + ":" + seconds;
}

// `2.5000000000000000`, as OpenDocument writes a number, becomes 2.5.
std::string without_trailing_zeros(const std::string& text) {
    const bool plain = text.find_first_not_of("-0123456789.") == std::string::npos;
    const std::size_t point = text.find('.');
    if (!plain || point == std::string::npos || text.size() - point < 10) return text;
    std::string shorter = text.substr(0, text.find_last_not_of('0') + 1);
    if (shorter.ends_with('.')) shorter.pop_back();
    return shorter;
}

std::string cell_text(const OGRFeature& feature, int field) {
    if (!feature.IsFieldSetAndNotNull(field)) return {};
    std::string text(trim(clean_utf8(feature.GetFieldAsString(field))));
    // A time of day with a date format is counted from the day nought of spreadsheets.
    for (const std::string_view day_nought : {"1899/12/30 ", "1899-12-30T", "1899/12/31 "}) {
        if (text.starts_with(day_nought)) return text.substr(day_nought.size());
    }
    return without_trailing_zeros(clock_from_duration(text));
}

// Without a header of its own the driver gives every row, and the row of the sheet as the feature's
// number.
Grid read_sheet(OGRLayer& layer, const std::string& file, FindingLog& log) {
    Grid grid{file + "#" + clean_utf8(layer.GetName()), {}, false};
    const int columns = layer.GetLayerDefn()->GetFieldCount();
    std::size_t cells = 0;
    for (const auto& feature : layer) {
        GridRow row{static_cast<int>(feature->GetFID()), {}};
        for (int field = 0; field < columns; ++field) {
            row.cells.push_back(cell_text(*feature, field));
        }
        if (std::ranges::all_of(row.cells, &std::string::empty)) continue;
        cells += row.cells.size();
        if (cells > kMostCells) {
            log.problem({grid.file, row.row, ""},
                        "The sheet is too large; rows from here on were not read.",
                        "Keep only the rows of this job in it.");
            break;
        }
        grid.rows.push_back(std::move(row));
    }
    return grid;
}

}  // namespace

std::vector<Grid> read_workbook(const TableFile& file, FindingLog& log) {
    const OgrSilence silence;
    if (!unpacks_to_a_sane_size(file)) {
        log.problem({file.name, 0, ""}, "The workbook is too large to hold tables of the job.",
                    "Keep only the tables of this job in it.");
        return {};
    }
    const CPLConfigOptionSetter no_header_xlsx("OGR_XLSX_HEADERS", "DISABLE", false);
    const CPLConfigOptionSetter no_header_ods("OGR_ODS_HEADERS", "DISABLE", false);
    const char* const drivers[] = {"XLSX", "ODS", nullptr};
    const GDALDatasetUniquePtr dataset = open_dataset(file, drivers, log);
    if (!dataset) return {};
    std::vector<Grid> sheets;
    for (OGRLayer* layer : dataset->GetLayers()) {
        sheets.push_back(read_sheet(*layer, file.name, log));
    }
    report_errors(file, log);
    return sheets;
}

}  // namespace sondeline
