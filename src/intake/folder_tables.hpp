// The files of a job folder, and the tables among them.
#pragma once

#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include "intake/grid.hpp"
#include "intake/table.hpp"

namespace sondeline {

// Regular files of the folder itself, hidden ones left out, in natural order. Empty, with a
// finding, when the folder cannot be listed. Anything else under the name of a table is a finding.
std::vector<TableFile> list_files(const std::filesystem::path& folder, FindingLog& log);

// Whether a file is called like one of the tables.
bool is_table_file(const TableFile& file);

// Of all tables, by the form's name; of a table in several places the rows of all, in the order
// CSV, workbooks, point files.
class FolderTables {
  public:
    // Reads CSV files and workbooks. Files that look like tables but are none are mentioned.
    FolderTables(const std::vector<TableFile>& files, FindingLog& log);

    // Reads point files, whose coordinates depend on the system of the map; then joins rows by id.
    void add_points(const std::vector<TableFile>& files, const std::string& map_crs,
                    FindingLog& log);

    const Table& table(const TableForm& form) const;
    const std::vector<TableFile>& read() const { return read_; }

  private:
    void add(const TableForm& form, const Grid& grid, FindingLog& log);
    void add_workbook(const TableFile& file, FindingLog& log);

    std::map<std::string, Table, std::less<>> tables_;
    std::map<std::string, std::string, std::less<>> first_place_;  // of each table
    std::vector<TableFile> read_;
};

}  // namespace sondeline
