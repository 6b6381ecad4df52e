#include <algorithm>
#include <cerrno>
#include <cstring>

#include <fmt/format.h>

#include "sondeline/service.hpp"

#include "service/table_forms.hpp"
#include "service/whole_file.hpp"
#include "service/workbook_writer.hpp"

namespace sondeline {

namespace fs = std::filesystem;

namespace {

std::string lower_case(std::string text) {
    std::ranges::transform(text, text.begin(), [](char c) {
        return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    });
    return text;
}

// Which table a file of this name would be, if any.
std::string table_called(const fs::path& file) {
    std::string stem = lower_case(file.stem().string());
    std::erase_if(stem, [](char c) { return c == ' ' || c == '-' || c == '_'; });
    return stem;
}

bool stands_already(const Job& job, const std::string& table) {
    std::error_code error;
    for (fs::directory_iterator it(job.folder, error), end; !error && it != end;
         it.increment(error)) {
        const std::string ending = lower_case(it->path().extension().string());
        const bool is_footage = std::ranges::any_of(
            job.footage, [&](const FootageFile& file) { return file.path == it->path(); });
        if (!is_footage && ending != ".txt" && table_called(it->path()) == table) return true;
    }
    return false;
}

std::string csv_cell(std::string_view cell) {
    if (cell.find_first_of("\",\r\n") == std::string_view::npos) return std::string(cell);
    std::string text = "\"";
    for (const char c : cell) {
        text += c;
        if (c == '"') text += c;
    }
    return text + "\"";
}

std::string csv_of(const TableToFill& table) {
    std::string text;
    const auto add = [&](const std::vector<std::string>& row) {
        for (std::size_t i = 0; i < row.size(); ++i) text += (i > 0 ? "," : "") + csv_cell(row[i]);
        text += "\n";
    };
    add(table.header);
    for (const auto& row : table.rows) add(row);
    return text;
}

std::vector<std::string> missing_clips(const Job& job) {
    std::vector<std::string> missing;
    for (const FootageFile& file : job.footage) {
        const bool named = std::ranges::any_of(job.runs, [&](const Run& run) {
            return std::ranges::find(run.footage, file.name) != run.footage.end();
        });
        if (!named) missing.push_back(file.name);
    }
    return missing;
}

void write(const fs::path& file, const std::string& bytes, Started& started) {
    const std::string name = file.filename().string();
    if (write_whole(file, bytes, Existing::keep)) {
        started.written.push_back(name);
    } else if (errno == EEXIST) {
        started.kept.push_back(name);
    } else {
        started.error = fmt::format("{} could not be written: {}.", name, std::strerror(errno));
    }
}

}  // namespace

Started start_tables(const fs::path& folder, const StartOptions& options) {
    Started started;
    const Job job = read_job_folder(folder);
    std::error_code error;
    if (!fs::is_directory(folder, error)) {
        started.error = fmt::format("{} is no folder.", folder.generic_string());
        return started;
    }
    std::vector<TableToFill> tables;
    for (TableToFill& table : tables_to_fill(job, options.unit)) {
        if (stands_already(job, table.name)) {
            started.kept.push_back(table.name);
        } else {
            tables.push_back(std::move(table));
        }
    }
    if (options.workbook) {
        const fs::path file = folder / "tables.xlsx";
        if (fs::exists(fs::symlink_status(file, error))) {
            started.kept.push_back(file.filename().string());
        } else if (!tables.empty()) {
            const auto bytes = workbook_bytes(tables);
            if (bytes) {
                write(file, *bytes, started);
            } else {
                started.error = "The workbook could not be made; write the tables as CSV instead.";
            }
        }
    } else {
        for (const TableToFill& table : tables) {
            write(folder / (table.name + ".csv"), csv_of(table), started);
        }
    }
    write(folder / "filling-in.txt", filling_in_text(options.unit), started);
    if (!job.runs_from_footage) started.unlisted_clips = missing_clips(job);
    return started;
}

}  // namespace sondeline
