#include "intake/finding_log.hpp"

#include <algorithm>
#include <tuple>
#include <utility>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace sondeline {

namespace {

// More than a person reads through; a table with so many has one cause, not hundreds.
constexpr int kMostOfOneFile = 200;

// Of findings that differ in the cell alone; the rest are told by their rows.
constexpr std::size_t kMostAlike = 3;

bool alike(const Finding& a, const Finding& b) {
    const auto key = [](const Finding& finding) {
        return std::tie(finding.where.file, finding.where.column, finding.severity,
                        finding.consequence, finding.what_to_do);
    };
    return a.where.row > 0 && b.where.row > 0 && key(a) == key(b);
}

// "5 to 9, 12"
std::string row_words(const std::vector<int>& rows) {
    std::vector<std::string> words;
    for (std::size_t i = 0; i < rows.size();) {
        std::size_t last = i;
        while (last + 1 < rows.size() && rows[last + 1] == rows[last] + 1) ++last;
        words.push_back(last == i ? fmt::format("{}", rows[i])
                                  : fmt::format("{} to {}", rows[i], rows[last]));
        i = last + 1;
    }
    return fmt::format("{}", fmt::join(words, ", "));
}

// A column that is wrong throughout has one cause: a few of its cells are told in full, the others
// by their rows.
Findings told_once(const Findings& findings) {
    Findings told;
    std::vector<bool> done(findings.size(), false);
    for (std::size_t i = 0; i < findings.size(); ++i) {
        if (done[i]) continue;
        std::vector<std::size_t> group;
        for (std::size_t k = i; k < findings.size(); ++k) {
            if (k == i || alike(findings[i], findings[k])) group.push_back(k);
        }
        if (group.size() <= kMostAlike + 1) {
            told.push_back(findings[i]);
            continue;
        }
        std::vector<int> rows;
        for (std::size_t g = 0; g < group.size(); ++g) {
            done[group[g]] = true;
            if (g < kMostAlike) {
                told.push_back(findings[group[g]]);
            } else {
                rows.push_back(findings[group[g]].where.row);
            }
        }
        Finding rest = findings[i];
        rest.where.row = 0;
        rest.where.run.clear();
        rest.what =
            fmt::format("The same holds for {} more rows: {}.", rows.size(), row_words(rows));
        told.push_back(std::move(rest));
    }
    return told;
}

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
    return told_once(std::exchange(findings_, {}));
}

}  // namespace sondeline
