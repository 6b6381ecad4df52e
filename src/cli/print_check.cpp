#include "cli/print_check.hpp"

#include <algorithm>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "cli/print_outcome.hpp"

namespace sondeline::cli {

namespace {

using nlohmann::json;

std::string reach_words(const RunCheck& run, LengthUnit unit) {
    if (!run.reach_m) return "not known";
    std::string length = length_words(*run.reach_m, unit, 1);
    if (run.footage_read) return length;
    return run.end_noted ? length + " as noted" : length + " or more";
}

std::string run_table(const SiteCheck& check) {
    std::vector<std::array<std::string, 6>> rows{
        {"run", "clips", "fixes", "length", "map good to", "smallest belly shown"}};
    for (const RunCheck& run : check.runs) {
        const std::string spread =
            run.worst_sd_m ? length_words(ellipse_95 * *run.worst_sd_m, check.job_unit, 1)
                           : std::string("not on the map");
        rows.push_back({run.id.text, fmt::format("{}", run.clips), fmt::format("{}", run.fixes),
                        reach_words(run, check.job_unit), spread, run.belly_words});
    }
    return aligned_columns(rows);
}

json run_json(const RunCheck& run) {
    json row{{"id", run.id.text},
             {"clips", run.clips},
             {"fixes", run.fixes},
             {"footage_read", run.footage_read},
             {"end_noted", run.end_noted},
             {"reach_m", nullptr},
             {"worst_position_sd_m", nullptr},
             {"belly", run.belly_words}};
    if (run.reach_m) row["reach_m"] = *run.reach_m;
    if (run.worst_sd_m) row["worst_position_sd_m"] = *run.worst_sd_m;
    return row;
}

}  // namespace

std::string check_text(const SiteCheck& check) {
    constexpr std::size_t most_lines = 9;
    std::string text = fmt::format("\n{}\n\n", check.site);
    if (!check.runs.empty()) text += run_table(check) + "\n";
    if (check.to_do.empty()) return text + "Nothing is missing.\n";
    text += "Before you leave, in order of worth\n";
    for (std::size_t i = 0; i < std::min(most_lines, check.to_do.size()); ++i) {
        text += wrapped(fmt::format("  {}. {}", i + 1, check.to_do[i]), 5);
    }
    if (check.to_do.size() > most_lines) {
        text += fmt::format("  … and {} more, which --json prints as well.\n",
                            check.to_do.size() - most_lines);
    }
    return text;
}

std::string check_json(const SiteCheck& check) {
    json runs = json::array();
    for (const RunCheck& run : check.runs) runs.push_back(run_json(run));
    json findings = json::array();
    for (const Finding& finding : check.findings) {
        findings.push_back(json::parse(finding_json_text(finding)));
    }
    const json all{{"schema", "sondeline-check/1"},       {"site", check.site},
                   {"exit_code", check_exit_code(check)}, {"runs", std::move(runs)},
                   {"next_fixes", check.next_fixes},      {"to_do", check.to_do},
                   {"findings", std::move(findings)}};
    return all.dump(-1, ' ', false, json::error_handler_t::replace) + "\n";
}

int check_exit_code(const SiteCheck& check) {
    const bool lost = std::ranges::any_of(check.findings, [](const Finding& finding) {
        return finding.severity == Severity::problem || finding.consequence != Consequence::none;
    });
    return lost ? 2 : 0;
}

}  // namespace sondeline::cli
