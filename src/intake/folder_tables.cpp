#include "intake/folder_tables.hpp"

#include <algorithm>
#include <array>
#include <system_error>

#include <fmt/format.h>

#include "intake/footage_files.hpp"
#include "intake/tables.hpp"

namespace sondeline {

namespace {

namespace fs = std::filesystem;

std::vector<const TableForm*> all_forms() {
    return {&kJobForm,    &kStructuresForm, &kRunsForm,  &kFixesForm, &kTiesForm,
            &kLevelsForm, &kRecordsForm,    &kNotesForm, &kGradeForm, &kLoadTestForm};
}

// "load test", "Load_Test" and "loadtest" are one name.
const TableForm* form_called(std::string_view text) {
    std::string name = normalised(text);
    std::erase(name, ' ');
    for (const TableForm* form : all_forms()) {
        if (form->name == name) return form;
    }
    return nullptr;
}

std::string form_names() {
    std::vector<std::string> names;
    for (const TableForm* form : all_forms()) names.emplace_back(form->name);
    return listed(names);
}

std::string ending(const TableFile& file) {
    return lower_case(file.path.extension().string());
}

bool is_workbook(const TableFile& file) {
    return ending(file) == ".xlsx" || ending(file) == ".ods";
}

bool is_point_file(const TableFile& file) {
    static constexpr std::array<std::string_view, 5> kEndings{".gpx", ".geojson", ".json", ".gpkg",
                                                              ".shp"};
    return std::ranges::find(kEndings, ending(file)) != kEndings.end();
}

const TableForm* form_of(const TableFile& file) {
    return form_called(file.path.stem().string());
}

void mention_if_unread(const TableFile& file, FindingLog& log) {
    static constexpr std::array<std::string_view, 6> kOther{".xls",     ".tsv", ".txt",
                                                            ".numbers", ".kml", ".xlsm"};
    const SourceCell whole{file.name, 0, ""};
    if (ending(file) == ".csv") {
        log.info(whole, "The file was not read: its name is none of the tables.",
                 fmt::format("Tables are called {}.", form_names()));
    } else if (form_of(file) != nullptr &&
               std::ranges::find(kOther, ending(file)) != kOther.end()) {
        log.caution(whole, "A table cannot be read from a file of this kind.",
                    "Save it as CSV, .xlsx or .ods; points also as GPX, GeoJSON, GeoPackage or "
                    "shapefile.");
    }
}

}  // namespace

bool is_table_file(const TableFile& file) {
    return form_of(file) != nullptr;
}

std::vector<TableFile> list_files(const fs::path& folder, FindingLog& log) {
    std::vector<TableFile> files;
    std::error_code error;
    fs::directory_iterator entry(folder, error);
    for (; !error && entry != fs::directory_iterator(); entry.increment(error)) {
        const fs::path& path = entry->path();
        const TableFile file{path, clean_utf8(path.filename().string())};
        if (file.name.starts_with(".") || file.name.starts_with("~$")) continue;
        std::error_code unknown;
        if (entry->is_regular_file(unknown)) {
            files.push_back(file);
        } else if (form_of(file) != nullptr && path.has_extension()) {
            log.problem({file.name, 0, ""},
                        "This is no file, although its name says it is a table.",
                        "Put the table there as a file.");
        }
    }
    if (error) {
        log.problem({clean_utf8(folder.string()), 0, ""},
                    fmt::format("The folder cannot be read ({}).", error.message()),
                    "Check its name and that you may read it.");
        return {};
    }
    std::ranges::sort(
        files, [](const TableFile& a, const TableFile& b) { return natural_less(a.name, b.name); });
    return files;
}

FolderTables::FolderTables(const std::vector<TableFile>& files, FindingLog& log) {
    for (const TableFile& file : files) {
        const TableForm* form = form_of(file);
        if (ending(file) == ".csv" && form != nullptr) {
            read_.push_back(file);
            add(*form, read_csv(file, log), log);
        } else {
            mention_if_unread(file, log);
        }
    }
    for (const TableFile& file : files) {
        if (is_workbook(file)) add_workbook(file, log);
    }
}

void FolderTables::add_workbook(const TableFile& file, FindingLog& log) {
    read_.push_back(file);
    bool any = false;
    const std::vector<Grid> sheets = read_workbook(file, log);
    for (const Grid& sheet : sheets) {
        const TableForm* form =
            form_called(std::string_view(sheet.file).substr(file.name.size() + 1));
        if (form == nullptr) continue;
        any = true;
        add(*form, sheet, log);
    }
    if (any || sheets.empty()) return;
    log.info({file.name, 0, ""}, "No sheet of the workbook is called like a table.",
             fmt::format("Sheets that are read are called {}.", form_names()));
}

void FolderTables::add_points(const std::vector<TableFile>& files, const std::string& map_crs,
                              FindingLog& log) {
    for (const TableFile& file : files) {
        const TableForm* form = is_point_file(file) ? form_of(file) : nullptr;
        if (form == nullptr) continue;
        if (!form->points) {
            log.caution({file.name, 0, ""},
                        fmt::format("The table {} is not read from points.", form->name),
                        "Save it as CSV, or as a sheet of a workbook.");
            continue;
        }
        read_.push_back(file);
        add(*form, read_points(file, map_crs, log), log);
    }
    for (auto& [name, table] : tables_) join_rows_by_id(table, log);
}

void FolderTables::add(const TableForm& form, const Grid& grid, FindingLog& log) {
    const std::string name(form.name);
    const auto [place, is_first] = first_place_.try_emplace(name, grid.file);
    // Waypoints beside a sheet of the same ids are the ordinary way of bringing both home.
    if (!is_first && !is_point_file({grid.file, grid.file})) {
        log.caution({grid.file, 0, ""},
                    fmt::format("The table {} stands in {} as well; the rows of both were used.",
                                name, place->second),
                    "Remove one if it is an older copy of the other.");
    }
    add_rows(tables_[name], form, grid, log);
}

const Table& FolderTables::table(const TableForm& form) const {
    static const Table kNone;
    const auto found = tables_.find(form.name);
    return found == tables_.end() ? kNone : found->second;
}

}  // namespace sondeline
