#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "deliverables/page/html_text.hpp"
#include "deliverables/page/sections.hpp"
#include "deliverables/placing.hpp"

namespace sondeline {

namespace {

std::string cell(const std::string& text, const char* look = "") {
    return fmt::format("<td{}>{}</td>", look, text);
}

std::string reason(const Withheld& withheld) {
    return fmt::format("<span class=\"word\">withheld</span><br><span class=\"why\">{} {}</span>",
                       escaped(withheld.reason), escaped(withheld.what_to_do));
}

std::string ends(const AsBuilt& as_built, const SiteRun& run) {
    const std::string from = structure_id(as_built.site, run.from);
    const std::string to = structure_id(as_built.site, run.to);
    return fmt::format("{} to {}", from.empty() ? "?" : escaped(from),
                       to.empty() ? "blind end" : escaped(to));
}

std::string length_cell(const AsBuilt& as_built, const AlignedRun& run) {
    if (!run.length_m) return reason(run.length_m.withheld);
    return escaped(length_words(*run.length_m, as_built.site.job_unit));
}

std::string slope_cell(const GradedRun& graded, LengthUnit unit) {
    if (!graded.slope) return reason(graded.slope.withheld);
    std::string text =
        fmt::format("{:.2f} % ± {:.2f}", 100.0 * graded.slope->value, 196.0 * graded.slope->sd);
    for (const Stretch& stretch : graded.stretches) {
        if (stretch.verdict == SlopeVerdict::not_asked || !stretch.minimum_slope) continue;
        text += fmt::format(
            "<br><span class=\"word {}\">{}</span> <span class=\"why\">{:.2f} % asked from {} to {}"
            "</span>",
            stretch.verdict == SlopeVerdict::below         ? "below"
            : stretch.verdict == SlopeVerdict::cannot_tell ? "cannot"
                                                           : "meets",
            word(stretch.verdict), 100.0 * *stretch.minimum_slope,
            length_words(stretch.from_m, unit, 0), length_words(stretch.to_m, unit, 0));
    }
    return text;
}

// Where the minimum slopes in the table come from, each once.
std::string minimum_sources(const AsBuilt& as_built) {
    std::set<std::string> sources;
    for (const GradedRun& run : as_built.profiles.runs) {
        for (const Stretch& stretch : run.stretches) {
            if (stretch.minimum_slope) sources.insert(stretch.minimum_source);
        }
    }
    if (sources.empty()) return "";
    return fmt::format("<p class=\"quiet\">Slopes asked by {}.</p>",
                       escaped(fmt::format("{}", fmt::join(sources, "; "))));
}

std::string depth_cell(const AsBuilt& as_built, const GradedRun& graded) {
    const LengthUnit unit = as_built.site.job_unit;
    if (!graded.min_cover_m || !graded.max_cover_m) return reason(graded.min_cover_m.withheld);
    return fmt::format("{} to {}", length_words(graded.min_cover_m->value, unit, 1),
                       length_words(graded.max_cover_m->value, unit, 1));
}

std::string water_cell(const GradedRun& graded) {
    std::string text;
    for (const Belly& belly : graded.bellies) {
        text += (text.empty() ? "" : "<br>") + escaped(belly.words);
    }
    if (text.empty()) text = "none seen";
    if (!graded.limit_words.empty()) {
        text += fmt::format("<br><span class=\"why\">{}</span>", escaped(graded.limit_words));
    }
    return text;
}

std::string sentence_of_runs(const AsBuilt& as_built) {
    Bounded sum;
    int known = 0;
    for (const AlignedRun& run : as_built.lines.runs) {
        if (!run.length_m) continue;
        sum.value += run.length_m->value;
        sum.lo95 += run.length_m->lo95;
        sum.hi95 += run.length_m->hi95;
        ++known;
    }
    const std::size_t all = as_built.lines.runs.size();
    if (known == 0) return fmt::format("{} runs, none of them with a measured length.", all);
    return fmt::format("{} of {} runs measured, {} of pipe in all.", known, all,
                       length_words(sum, as_built.site.job_unit));
}

std::string sentence_of_water(const AsBuilt& as_built) {
    std::string text;
    for (const GradedRun& run : as_built.profiles.runs) {
        for (const Belly& belly : run.bellies) {
            text += fmt::format("<li>Run {}: {}</li>", escaped(run.id.text), escaped(belly.words));
        }
    }
    return text;
}

}  // namespace

std::string title_block(const AsBuilt& as_built) {
    const JobSettings& job = as_built.job.settings;
    std::string line;
    const auto add = [&](std::string_view name, const std::string& value) {
        if (value.empty()) return;
        line += (line.empty() ? "" : " · ") + std::string(name) + escaped(value);
    };
    add("", job.date);
    add("prepared by ", job.prepared_by);
    add("for ", job.prepared_for);
    add("map in ", as_built.site.frame.crs_name.empty() ? as_built.site.frame.crs
                                                        : as_built.site.frame.crs_name);
    return fmt::format("<h1>{}: the pipes as found</h1><p class=\"quiet\">{}</p>",
                       escaped(job.site), line);
}

std::string in_short(const AsBuilt& as_built) {
    std::string list = fmt::format("<li>{}</li>", escaped(sentence_of_runs(as_built)));
    for (const RecordCheck& check : as_built.appraisal.records) {
        if (check.verdict == RecordVerdict::agrees || check.verdict == RecordVerdict::cannot_tell) {
            continue;
        }
        list += fmt::format("<li><span class=\"word {0}\">{0}</span>: {1}</li>",
                            word(check.verdict), escaped(check.words));
    }
    list += sentence_of_water(as_built);
    for (const AlignedRun& run : as_built.lines.runs) {
        if (run.length_m && !run.points.empty()) continue;
        const Withheld& why = run.length_m ? run.why_not_placed : run.length_m.withheld;
        list += fmt::format("<li>Run {}: {} <span class=\"why\">{}</span></li>",
                            escaped(run.run.id.text), escaped(why.reason), escaped(why.what_to_do));
    }
    const auto problems =
        std::ranges::count(as_built.findings, Severity::problem, &Finding::severity);
    const auto cautions =
        std::ranges::count(as_built.findings, Severity::caution, &Finding::severity);
    list += fmt::format(
        "<li>{} problem{} and {} caution{} to settle, <a href=\"#findings\">listed "
        "below</a>.</li>",
        problems, problems == 1 ? "" : "s", cautions, cautions == 1 ? "" : "s");
    return fmt::format("<ul class=\"lead\">{}</ul>", list);
}

std::string runs_table(const AsBuilt& as_built) {
    std::string rows;
    for (std::size_t i = 0; i < as_built.lines.runs.size(); ++i) {
        const AlignedRun& run = as_built.lines.runs[i];
        const GradedRun& graded = as_built.profiles.runs[i];
        rows += fmt::format("<tr><td><b>{}</b><br><span class=\"why\">{}, {}</span></td>",
                            escaped(run.run.id.text), word(run.run.kind), word(run.run.status));
        rows += cell(ends(as_built, run.run)) + cell(length_cell(as_built, run)) +
                cell(depth_cell(as_built, graded)) +
                cell(slope_cell(graded, as_built.site.job_unit)) + cell(water_cell(graded)) +
                "</tr>";
    }
    return fmt::format(
        "<h2>Runs</h2><p class=\"quiet\">Lengths are along the pipe. In brackets and "
        "behind ±: 95 % bounds. Depths are from the ground to the invert.</p>"
        "<div class=\"wide\"><table><thead><tr><th>Run</th><th>From, to</th>"
        "<th>Length</th><th>Depth</th><th>Slope</th><th>Standing water</th></tr>"
        "</thead><tbody>{}</tbody></table></div>{}",
        rows, minimum_sources(as_built));
}

std::string records_section(const AsBuilt& as_built) {
    if (as_built.appraisal.records.empty()) return "";
    std::string rows;
    for (const RecordCheck& check : as_built.appraisal.records) {
        rows += fmt::format(
            "<tr><td><span class=\"word {0}\">{0}</span></td><td>{1}</td><td "
            "class=\"why\">{2}</td></tr>",
            word(check.verdict), escaped(check.words), escaped(check.claim.dated));
    }
    return fmt::format(
        "<h2>What the paper says</h2><div class=\"wide\"><table><thead><tr>"
        "<th>Verdict</th><th>Claim and measurement</th><th>Dated</th></tr></thead>"
        "<tbody>{}</tbody></table></div>",
        rows);
}

std::string load_test_section(const AsBuilt& as_built) {
    const auto& balance = as_built.appraisal.load_test;
    if (!balance) return "";
    std::string text;
    for (const std::string& words : balance->words) text += "<p>" + escaped(words) + "</p>";
    for (const PortShare& port : balance->ports) {
        text += fmt::format("<p><b>{}</b>: {}</p>", escaped(port.port), escaped(port.words));
    }
    return "<h2>Load test</h2>" + text;
}

}  // namespace sondeline
