// One reader per table of the job: rows of text become values, or findings. No row is left out
// without a finding.
#pragma once

#include "intake/row_reader.hpp"
#include "intake/table.hpp"

namespace sondeline {

extern const TableForm kJobForm;
extern const TableForm kStructuresForm;
extern const TableForm kRunsForm;
extern const TableForm kFixesForm;
extern const TableForm kTiesForm;
extern const TableForm kLevelsForm;
extern const TableForm kRecordsForm;
extern const TableForm kNotesForm;
extern const TableForm kGradeForm;
extern const TableForm kLoadTestForm;

// What bare lengths mean, from `length unit` of the job table, else from the counter units that the
// runs name, else metres (assumed).
Reading reading_from(const Table& job, const Table& runs);

// Fills date, zone and map unit of `reading` as well. `folder_name` is the site when none is given.
JobSettings read_settings(const Table& job, const std::string& folder_name, Reading& reading,
                          FindingLog& log);

// The position of a row in lon and lat, or in x and y.
std::optional<TypedPosition> read_position(const RowReader& row);

std::vector<Structure> read_structures(const Table& table, Reading& reading, FindingLog& log);
// `footage` of each run holds the names as typed.
std::vector<Run> read_runs(const Table& table, Reading& reading, FindingLog& log);
std::vector<Fix> read_fixes(const Table& table, const std::vector<Run>& runs, Reading& reading,
                            FindingLog& log);
std::vector<Tie> read_ties(const Table& table, Reading& reading, FindingLog& log);
std::vector<LevelReading> read_levels(const Table& table, Reading& reading, FindingLog& log);
std::vector<RecordClaim> read_records(const Table& table, Reading& reading, FindingLog& log);
std::vector<Note> read_notes(const Table& table, const std::vector<Run>& runs, Reading& reading,
                             FindingLog& log);
std::vector<GradeReading> read_grade(const Table& table, const std::vector<Run>& runs,
                                     Reading& reading, FindingLog& log);
std::vector<LoadStep> read_load_test(const Table& table, Reading& reading, FindingLog& log);

// The unit a run's counter shows, when the runs table says it.
std::optional<LengthUnit> counter_unit_of(const std::vector<Run>& runs, const RunId& run);

}  // namespace sondeline
