// The tables a technician fills in: headers with units, the rows known already, and what a row
// looks like.
#pragma once

#include "sondeline/service.hpp"

namespace sondeline {

struct TableToFill {
    std::string name;  // "fixes"
    std::vector<std::string> header;
    std::vector<std::vector<std::string>> rows;
};

// Of a job whose tables are not yet there: `runs` lists a run for each clip. Depths are in inches
// with feet, in metres with metres.
std::vector<TableToFill> tables_to_fill(const Job& job, LengthUnit unit);

// A page of plain text: each table with an example row and a word on every column that needs one.
std::string filling_in_text(LengthUnit unit);

}  // namespace sondeline
