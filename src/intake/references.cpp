#include "intake/references.hpp"

#include <algorithm>
#include <map>
#include <set>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "intake/text.hpp"

namespace sondeline {

namespace {

// The ids of one table, found also when they are typed in another letter case.
class Ids {
  public:
    void add(const std::string& id) {
        ids_.insert(id);
        ++folded_[lower_case(id)].count;
        folded_[lower_case(id)].id = id;
    }

    // True when `id` is known; it may be put right.
    bool settle(std::string& id, const SourceCell& cell, FindingLog& log) const {
        if (ids_.contains(id)) return true;
        const auto found = folded_.find(lower_case(id));
        if (found == folded_.end() || found->second.count != 1) return false;
        log.info(cell, fmt::format("{} was taken for {}.", shown(id), shown(found->second.id)),
                 "Write ids alike everywhere.");
        id = found->second.id;
        return true;
    }

    std::size_t size() const { return ids_.size(); }
    const std::string& only() const { return *ids_.begin(); }

  private:
    struct Folded {
        int count = 0;
        std::string id;
    };
    std::set<std::string> ids_;
    std::map<std::string, Folded> folded_;
};

SourceCell in_column(SourceCell cell, std::string_view column) {
    cell.column = column;
    return cell;
}

// A structure that only a run names joins the runs that meet there all the same.
void settle_end(std::optional<StructureId>& end, const SourceCell& cell, bool table_given, Job& job,
                Ids& structures, FindingLog& log) {
    if (!end || structures.settle(end->text, cell, log)) return;
    Structure structure;
    structure.id = *end;
    structure.source = cell;
    job.structures.push_back(structure);
    structures.add(end->text);
    Finding finding{
        table_given ? Severity::caution : Severity::info, where_is(cell),
        fmt::format("The structure {} is in no structures table; it was taken as one of "
                    "kind other, without a position.",
                    shown(end->text)),
        "Add it to the structures table, or correct the id.", Consequence::none};
    log.add(std::move(finding));
}

void settle_runs(Job& job, Ids& structures, FindingLog& log) {
    const bool table_given = structures.size() > 0;
    for (Run& run : job.runs) {
        settle_end(run.from, in_column(run.source, "from"), table_given, job, structures, log);
        settle_end(run.to, in_column(run.source, "to"), table_given, job, structures, log);
    }
}

// The run of a fix or a note.
void settle_run(RunId& run, const SourceCell& row, std::string_view kind, const Ids& runs,
                FindingLog& log) {
    const SourceCell cell = in_column(row, "run");
    if (run.text.empty() && runs.size() == 1) {
        run.text = runs.only();
        if (log.first_time({cell.file, 0, ""}, "only run")) {
            log.info(
                {cell.file, 0, "run"},
                fmt::format("Rows without a run were given to {}, the only one.", shown(run.text)),
                "Write the run in every row.");
        }
    } else if (run.text.empty()) {
        log.problem(cell, fmt::format("The {} does not say its run, so it belongs nowhere.", kind),
                    "Write the id of the run.");
    } else if (!runs.settle(run.text, cell, log)) {
        log.problem(
            cell,
            fmt::format("There is no run {}, so the {} belongs nowhere.", shown(run.text), kind),
            "Correct the id, or add the run to the runs table.");
    }
}

void settle_ties(Job& job, const Ids& structures, FindingLog& log) {
    for (Tie& tie : job.ties) {
        for (std::string* end : {&tie.point, &tie.reference}) {
            const SourceCell cell =
                in_column(tie.source, end == &tie.point ? "point" : "reference");
            if (structures.settle(*end, cell, log)) continue;
            log.problem(
                cell,
                fmt::format("There is no structure {}, so the tie leads nowhere.", shown(*end)),
                "Correct the id, or add the point to the structures table.");
        }
    }
}

bool is_kind(const std::string& text) {
    for (int kind = 0; kind <= static_cast<int>(RunKind::other); ++kind) {
        if (normalised(text) == word(static_cast<RunKind>(kind))) return true;
    }
    for (int kind = 0; kind <= static_cast<int>(StructureKind::other); ++kind) {
        if (normalised(text) == word(static_cast<StructureKind>(kind))) return true;
    }
    return false;
}

void settle_records(Job& job, const Ids& runs, const Ids& structures, FindingLog& log) {
    for (RecordClaim& record : job.records) {
        const SourceCell cell = in_column(record.source, "of");
        if (record.of.empty() || is_kind(record.of)) continue;
        if (runs.settle(record.of, cell, log) || structures.settle(record.of, cell, log)) continue;
        log.caution(
            cell,
            fmt::format("{} is no run, no structure and no kind of either.", shown(record.of)),
            "Correct the id, or leave the cell empty for the whole system.");
    }
}

double middle_of(std::vector<double> values) {
    std::ranges::sort(values);
    const std::size_t half = values.size() / 2;
    return values.size() % 2 == 1 ? values[half] : (values[half - 1] + values[half]) / 2.0;
}

std::map<std::string, std::vector<double>> depths_by_run(const Job& job) {
    std::map<std::string, std::vector<double>> depths;
    for (const Fix& fix : job.fixes) {
        if (fix.depth_m) depths[fix.run.text].push_back(fix.depth_m->value);
    }
    return depths;
}

void report_slip(const Job& job, const std::string& run, std::string what, FindingLog& log) {
    const auto first = std::ranges::find_if(
        job.fixes, [&](const Fix& fix) { return fix.run.text == run && fix.depth_m.has_value(); });
    Finding finding{Severity::caution, where_is(first->depth_m->source), std::move(what),
                    "Check the unit of the depths; write it in the header, like depth (in). "
                    "Nothing was converted.",
                    Consequence::none};
    finding.where.row = 0;
    finding.where.run = run;
    log.add(std::move(finding));
}

}  // namespace

void check_references(Job& job, FindingLog& log) {
    Ids structures;
    Ids runs;
    for (const Structure& structure : job.structures) structures.add(structure.id.text);
    for (const Run& run : job.runs) runs.add(run.id.text);
    settle_runs(job, structures, log);
    for (Fix& fix : job.fixes) settle_run(fix.run, fix.source, "fix", runs, log);
    for (Note& note : job.notes) settle_run(note.run, note.source, "note", runs, log);
    for (GradeReading& one : job.grade) settle_run(one.run, one.source, "grade", runs, log);
    settle_ties(job, structures, log);
    settle_records(job, runs, structures, log);
}

void check_depths(const Job& job, FindingLog& log) {
    // Inches for feet are 12 times too deep, centimetres for metres 100, feet for metres 3.3:
    // between 10 and 60 no two pipes of one lot differ, and some unit was mistaken (common
    // practice, no source). Deeper than 10 m a push camera's transmitter is not heard at the
    // surface.
    constexpr double kLeastSlip = 10.0;
    constexpr double kMostSlip = 60.0;
    constexpr double kDeepestM = 10.0;
    const auto depths = depths_by_run(job);
    for (const auto& [run, of_run] : depths) {
        std::vector<double> others;
        for (const auto& [other, of_other] : depths) {
            if (other != run) others.push_back(middle_of(of_other));
        }
        const double depth_m = middle_of(of_run);
        const double usual_m = others.empty() ? 0.0 : middle_of(others);
        if (usual_m > 0.0 && depth_m >= kLeastSlip * usual_m && depth_m <= kMostSlip * usual_m) {
            report_slip(job, run,
                        fmt::format("The depths are {:.0f} times those of the other runs: perhaps "
                                    "they are in another unit.",
                                    depth_m / usual_m),
                        log);
        } else if (depth_m > kDeepestM) {
            report_slip(job, run,
                        fmt::format("The depths are about {:.0f} m, deeper than a transmitter is "
                                    "heard: perhaps they are in another unit.",
                                    depth_m),
                        log);
        }
    }
}

}  // namespace sondeline
