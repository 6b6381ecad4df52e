#include "intake/finding_log.hpp"

#include <utility>

#include <fmt/format.h>

namespace sondeline {

namespace {

// More than a person reads through; a table with so many has one cause, not hundreds.
constexpr int kMostOfOneFile = 200;

}  // namespace

void FindingLog::problem(const SourceCell& cell, std::string what, std::string what_to_do) {
    add({Severity::problem, where_is(cell), std::move(what), std::move(what_to_do),
         Consequence::input_rejected});
}

void FindingLog::caution(const SourceCell& cell, std::string what, std::string what_to_do) {
    add({Severity::caution, where_is(cell), std::move(what), std::move(what_to_do),
         Consequence::none});
}

void FindingLog::info(const SourceCell& cell, std::string what, std::string what_to_do) {
    add({Severity::info, where_is(cell), std::move(what), std::move(what_to_do),
         Consequence::none});
}

void FindingLog::add(Finding finding) {
    if (++count_of_file_[finding.where.file] > kMostOfOneFile) return;
    findings_.push_back(std::move(finding));
}

bool FindingLog::first_time(const SourceCell& cell, const std::string& about) {
    return told_.insert(cell.file + '\n' + cell.column + '\n' + about).second;
}

Findings FindingLog::take() {
    for (const auto& [file, count] : count_of_file_) {
        if (count <= kMostOfOneFile) continue;
        Where where;
        where.file = file;
        findings_.push_back(
            {Severity::problem, where,
             fmt::format("The file has {} more findings than are listed.", count - kMostOfOneFile),
             "Mend those that are listed and process the folder again.",
             Consequence::input_rejected});
    }
    count_of_file_.clear();
    told_.clear();
    return std::exchange(findings_, {});
}

}  // namespace sondeline
