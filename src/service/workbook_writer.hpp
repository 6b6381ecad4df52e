// A workbook with a sheet for each table.
#pragma once

#include "service/table_forms.hpp"

namespace sondeline {

// The bytes of an .xlsx file, every cell as text; empty when GDAL cannot make one.
std::optional<std::string> workbook_bytes(const std::vector<TableToFill>& tables);

}  // namespace sondeline
