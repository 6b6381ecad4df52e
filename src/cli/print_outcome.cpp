#include "cli/print_outcome.hpp"

#include <algorithm>
#include <sstream>
#include <tuple>

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <nlohmann/json.hpp>

namespace sondeline::cli {

namespace {

using nlohmann::json;

std::string run_length(const RunOutcome& run, LengthUnit unit) {
    if (!run.length_m) return "withheld";
    return length_words(Bounded{*run.length_m, *run.length_lo95_m, *run.length_hi95_m}, unit);
}

constexpr std::size_t terminal_columns = 80;

std::size_t widest_line(const std::string& text) {
    std::size_t widest = 0;
    std::istringstream lines(text);
    for (std::string line; std::getline(lines, line);) {
        widest = std::max(widest, shown_width(line));
    }
    return widest;
}

// Long names get a line to themselves, with the figures of the run under it.
std::string rows_under_names(const std::vector<std::array<std::string, 5>>& rows) {
    std::vector<std::array<std::string, 4>> figures;
    figures.reserve(rows.size());
    for (const auto& row : rows) figures.push_back({"", row[2], row[3], row[4]});
    std::istringstream lines(aligned_columns(figures));
    std::string text;
    std::string line;
    for (const auto& row : rows) {
        text += wrapped(fmt::format("  {}: {}", row[0], row[1]), 4);
        std::getline(lines, line);
        text += line + "\n";
    }
    return text;
}

std::string run_rows(const Outcome& outcome) {
    std::vector<std::array<std::string, 5>> rows{
        {"run", "from, to", "length (95 %)", "slope (95 %)", "bellies"}};
    for (const RunOutcome& run : outcome.runs) {
        const std::string ends = run.from.empty() && run.to.empty()
                                     ? "not said"
                                     : fmt::format("{}, {}", run.from.empty() ? "?" : run.from,
                                                   run.to.empty() ? "blind end" : run.to);
        rows.push_back(
            {run.id.text, ends, run_length(run, outcome.job_unit), run.slope, run.bellies});
    }
    const std::string table = aligned_columns(rows);
    return widest_line(table) <= terminal_columns ? table : rows_under_names(rows);
}

std::string counted(std::ptrdiff_t count, std::string_view thing) {
    return fmt::format("{} {}{}", count, thing, count == 1 ? "" : "s");
}

// A finding, and where else it was found in the same words.
Finding with_others(const Outcome& outcome, std::size_t first, std::vector<bool>& told) {
    constexpr std::size_t most_named = 8;
    Finding finding = outcome.findings[first];
    std::vector<std::string> places;
    for (std::size_t i = first + 1; i < outcome.findings.size(); ++i) {
        const Finding& other = outcome.findings[i];
        if (std::tie(other.severity, other.what, other.what_to_do) !=
            std::tie(finding.severity, finding.what, finding.what_to_do)) {
            continue;
        }
        told[i] = true;
        places.push_back(describe(other.where, outcome.job_unit));
    }
    if (places.empty()) return finding;
    const std::size_t more = places.size() - std::min(places.size(), most_named);
    places.resize(places.size() - more);
    finding.what += fmt::format(" The same for {}{}.", fmt::join(places, "; "),
                                more > 0 ? fmt::format(" and {} more", more) : "");
    return finding;
}

std::string findings_text(const Outcome& outcome) {
    if (outcome.findings.empty()) return "\nNothing to remark.\n";
    const auto count = [&](Severity severity) {
        return std::ranges::count(outcome.findings, severity, &Finding::severity);
    };
    std::string text = fmt::format(
        "\nFindings: {}, {}, {} for information\n", counted(count(Severity::problem), "problem"),
        counted(count(Severity::caution), "caution"), count(Severity::info));
    std::vector<bool> told(outcome.findings.size(), false);
    for (std::size_t i = 0; i < outcome.findings.size(); ++i) {
        if (outcome.findings[i].severity == Severity::info || told[i]) continue;
        text += finding_text(with_others(outcome, i, told), outcome.job_unit);
    }
    if (count(Severity::info) > 0) {
        text += "  Those for information stand in report.html and in the layer findings.\n";
    }
    return text;
}

json finding_json(const Finding& finding) {
    json where = json::object();
    if (!finding.where.file.empty()) where["file"] = finding.where.file;
    if (finding.where.row > 0) where["row"] = finding.where.row;
    if (!finding.where.column.empty()) where["column"] = finding.where.column;
    if (!finding.where.run.empty()) where["run"] = finding.where.run;
    if (!finding.where.structure.empty()) where["structure"] = finding.where.structure;
    if (finding.where.station_m) where["station_m"] = *finding.where.station_m;
    if (finding.where.time_s) where["time_s"] = *finding.where.time_s;
    return {{"severity", word(finding.severity)},
            {"where", std::move(where)},
            {"what", finding.what},
            {"what_to_do", finding.what_to_do}};
}

}  // namespace

std::size_t shown_width(const std::string& text) {
    return static_cast<std::size_t>(std::ranges::count_if(
        text, [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
}

std::string padded(const std::string& text, std::size_t width) {
    const std::size_t shown = shown_width(text);
    return shown < width ? text + std::string(width - shown, ' ') : text;
}

std::string wrapped(const std::string& text, std::size_t indent, std::size_t width) {
    std::string out = text.substr(0, text.find_first_not_of(' '));
    std::size_t column = out.size();
    std::istringstream words(text);
    bool first_on_line = true;
    for (std::string word; words >> word;) {
        const std::size_t wide = shown_width(word);
        if (!first_on_line && column + 1 + wide > width) {
            out += "\n" + std::string(indent, ' ');
            column = indent;
            first_on_line = true;
        }
        if (!first_on_line) out += " ";
        column += wide + (first_on_line ? 0 : 1);
        out += word;
        first_on_line = false;
    }
    return out + "\n";
}

std::string finding_text(const Finding& finding, LengthUnit unit) {
    const std::string where = describe(finding.where, unit);
    std::string text = fmt::format("  {:<8} ", word(finding.severity));
    text += where.empty() ? finding.what : where + ": " + finding.what;
    text = wrapped(text, 11);
    if (!finding.what_to_do.empty()) {
        text += wrapped(std::string(11, ' ') + "→ " + finding.what_to_do, 13);
    }
    return text;
}

std::string finding_json_text(const Finding& finding) {
    return finding_json(finding).dump(-1, ' ', false, json::error_handler_t::replace);
}

std::string outcome_text(const Outcome& outcome) {
    std::string text = fmt::format("\n{}\n\n", outcome.site);
    if (!outcome.runs.empty()) text += run_rows(outcome);
    if (!outcome.record_words.empty()) text += "\nWhat the paper says\n";
    for (const std::string& words : outcome.record_words) text += wrapped("  " + words, 4);
    text += findings_text(outcome);
    if (outcome.exit_code == 3) return text + "\n" + wrapped(outcome.error, 0);
    text += fmt::format("\nThe map is in {}\nOpen report.html there first.\n",
                        outcome.out.generic_string());
    return text;
}

std::string day_text(const std::vector<Outcome>& outcomes) {
    std::vector<std::array<std::string, 4>> rows{{"job", "runs measured", "problems", "map in"}};
    std::ptrdiff_t well = 0;
    for (const Outcome& outcome : outcomes) {
        const auto measured = std::ranges::count_if(
            outcome.runs, [](const RunOutcome& run) { return run.length_m.has_value(); });
        const auto problems =
            std::ranges::count(outcome.findings, Severity::problem, &Finding::severity);
        const bool written = outcome.exit_code != 3;
        rows.push_back({outcome.site, fmt::format("{} of {}", measured, outcome.runs.size()),
                        fmt::format("{}", problems),
                        written ? outcome.out.generic_string() : "not written"});
        well += outcome.exit_code == 0 ? 1 : 0;
    }
    std::string text = "\nThe day\n\n" + aligned_columns(rows) + "\n";
    text += fmt::format("{} of {} jobs are measured in full.\n", well, outcomes.size());
    for (const Outcome& outcome : outcomes) {
        if (outcome.exit_code == 3) text += wrapped(outcome.error, 2);
    }
    return text;
}

std::string outcome_json(const Outcome& outcome) {
    json runs = json::array();
    for (const RunOutcome& run : outcome.runs) {
        json row{{"id", run.id.text},  {"from", run.from},       {"to", run.to},
                 {"slope", run.slope}, {"bellies", run.bellies}, {"placement", run.placement},
                 {"length_m", nullptr}};
        if (run.length_m) {
            row["length_m"] = *run.length_m;
            row["length_lo95_m"] = *run.length_lo95_m;
            row["length_hi95_m"] = *run.length_hi95_m;
        }
        runs.push_back(std::move(row));
    }
    json findings = json::array();
    for (const Finding& finding : outcome.findings) findings.push_back(finding_json(finding));
    const json all{{"schema", "sondeline-outcome/1"},
                   {"site", outcome.site},
                   {"out", outcome.out.generic_string()},
                   {"exit_code", outcome.exit_code},
                   {"error", outcome.error},
                   {"runs", std::move(runs)},
                   {"records", outcome.record_words},
                   {"findings", std::move(findings)}};
    return all.dump(-1, ' ', false, json::error_handler_t::replace) + "\n";
}

}  // namespace sondeline::cli
