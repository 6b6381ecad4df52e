#include <fmt/format.h>

#include "intake/folder_tables.hpp"
#include "intake/footage_files.hpp"
#include "intake/from_footage.hpp"
#include "intake/level_points.hpp"
#include "intake/position_log.hpp"
#include "intake/references.hpp"
#include "intake/tables.hpp"

namespace sondeline {

namespace {

namespace fs = std::filesystem;

std::string folder_name(const fs::path& folder) {
    std::error_code error;
    const fs::path whole = fs::absolute(folder, error).lexically_normal();
    const fs::path name = whole.has_filename() ? whole.filename() : whole.parent_path().filename();
    return clean_utf8(name.string());
}

void list_footage(const std::vector<TableFile>& files, Job& job) {
    for (const TableFile& file : files) {
        if (is_footage(file.path)) job.footage.push_back({file.name, file.path});
    }
}

void find_terrain(const std::vector<TableFile>& files, Job& job) {
    for (const TableFile& file : files) {
        const std::string name = lower_case(file.name);
        if (job.terrain || (name != "terrain.tif" && name != "terrain.tiff")) continue;
        job.terrain = file.path;
        job.inputs.push_back({file.name, file.path});
    }
}

std::string why_assumed(const Reading& reading, bool from_overlay) {
    if (from_overlay) {
        return fmt::format(
            "Lengths without a unit were read in {}, because the counters in the "
            "footage show it.",
            unit_symbol(reading.bare_unit));
    }
    if (reading.bare_unit_open) {
        return "Lengths without a unit were read as metres, because neither a table nor the "
               "footage says otherwise.";
    }
    return fmt::format(
        "Lengths without a unit were read in {}, because the runs say that their "
        "counters show it.",
        unit_symbol(reading.bare_unit));
}

// The job table says one kind of unit and all pictures show the other.
bool unlike_unit(const Reading& reading, const std::optional<LengthUnit>& overlay_unit) {
    return !reading.bare_unit_assumed && overlay_unit &&
           (*overlay_unit == LengthUnit::metre) != (reading.bare_unit == LengthUnit::metre);
}

// A slope that is 3.28 times too large looks like one. Other lengths show in the plan when wrong.
void mention_unlike_unit(const Reading& reading, FindingLog& log) {
    if (!reading.bare_length_met) return;
    const bool metric = reading.bare_unit == LengthUnit::metre;
    const std::string both =
        fmt::format("The unit of the job is {}, but every picture that shows a unit counts in {}.",
                    unit_symbol(reading.bare_unit), metric ? "feet" : "metres");
    const std::string todo = fmt::format(
        "Write {} for length unit in the job table if that is wrong, or put the unit "
        "in the headers of those columns, like foresight ({}).",
        metric ? "ft" : "m", unit_symbol(reading.bare_unit));
    if (reading.bare_height_left_out) {
        log.problem({"job", 0, "length unit"},
                    both +
                        " Rod readings, ground heights, taped inverts and depths without a unit "
                        "were not used: heights and slopes from the wrong one would be off by "
                        "3.28 times.",
                    todo);
        return;
    }
    log.caution(
        {"job", 0, "length unit"},
        fmt::format("{} Lengths without a unit were read in {}.", both, metric ? "metres" : "feet"),
        todo);
}

void mention_assumed_unit(const Reading& reading, bool from_overlay, FindingLog& log) {
    if (!reading.bare_unit_assumed || !reading.bare_length_met) return;
    const std::string todo =
        "Write the row length unit with ft, us-ft or m in the job table, or put the unit in "
        "the headers, like depth (in).";
    if (from_overlay || !reading.bare_unit_open) {
        log.info({}, why_assumed(reading, from_overlay), todo);
    } else {
        log.caution({}, why_assumed(reading, from_overlay), todo);
    }
}

void take_date_of_footage(const FromFootage& footage, JobSettings& settings, Reading& reading,
                          FindingLog& log) {
    if (!settings.date.empty() || footage.date.empty()) return;
    settings.date = reading.date = footage.date;
    log.info({"job", 0, "date"},
             fmt::format("The job table gives no date; {} was taken: {}.", footage.date,
                         footage.date_source),
             "Write the date in the job table, like 2026-05-14, if it was another day.");
}

void read_rows(const FolderTables& tables, Reading& reading, Job& job, FindingLog& log) {
    job.structures = read_structures(tables.table(kStructuresForm), reading, log);
    job.runs = read_runs(tables.table(kRunsForm), reading, log);
    if (job.runs.empty()) {
        make_runs_from_footage(job, log);
    } else {
        settle_footage_names(job, log);
    }
    job.fixes = read_fixes(tables.table(kFixesForm), job.runs, reading, log);
    job.ties = read_ties(tables.table(kTiesForm), reading, log);
    job.levels = read_levels(tables.table(kLevelsForm), reading, log);
    job.records = read_records(tables.table(kRecordsForm), reading, log);
    job.grade = read_grade(tables.table(kGradeForm), job.runs, reading, log);
    job.notes = read_notes(tables.table(kNotesForm), job.runs, reading, log);
    job.load_test = read_load_test(tables.table(kLoadTestForm), reading, log);
}

}  // namespace

Job read_job_folder_with(const fs::path& folder, const FromFootage& footage) {
    Job job;
    job.folder = folder;
    FindingLog log;
    const std::vector<TableFile> files = list_files(folder, log);
    list_footage(files, job);
    FolderTables tables(files, log);
    Reading reading = reading_from(tables.table(kJobForm), tables.table(kRunsForm));
    const bool from_overlay = reading.bare_unit_open && footage.unit;
    if (from_overlay) {
        reading.bare_unit = *footage.unit;
        reading.bare_length_m = metres_per(*footage.unit);
    }
    job.settings = read_settings(tables.table(kJobForm), folder_name(folder), reading, log);
    take_date_of_footage(footage, job.settings, reading, log);
    tables.add_points(files, job.settings.crs, log);
    for (const TableFile& file : tables.read()) job.inputs.push_back({file.name, file.path});
    find_terrain(files, job);
    reading.bare_heights_doubted = unlike_unit(reading, footage.unit);
    read_rows(tables, reading, job, log);
    place_by_position_logs(files, reading.bare_unit, job, log);
    check_references(job, log);
    check_level_points(job, log);
    check_depths(job, log);
    job.unit_open = reading.bare_unit_open && reading.bare_length_met;
    mention_assumed_unit(reading, from_overlay, log);
    if (unlike_unit(reading, footage.unit)) mention_unlike_unit(reading, log);
    job.findings = log.take();
    return job;
}

Job read_job_folder(const fs::path& folder, std::optional<LengthUnit> overlay_unit) {
    return read_job_folder_with(folder, {.unit = overlay_unit});
}

}  // namespace sondeline
