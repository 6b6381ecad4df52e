#include <algorithm>

#include <fmt/format.h>

#include "deliverables/page/html_text.hpp"
#include "deliverables/page/sections.hpp"

namespace sondeline {

namespace {

std::string footage_rows(const PageData& page) {
    std::string rows;
    for (std::size_t row = 0; row < page.layer("footage").rows.size(); ++row) {
        const std::string format = page.words({"footage", row, "counter_format"});
        rows += fmt::format(
            "<tr><td>{}</td><td>{}</td><td class=\"num\">{} s</td>"
            "<td class=\"num\">{} %</td><td class=\"num\">{}</td></tr>",
            page.words({"footage", row, "file"}), format.empty() ? "no counter found" : format,
            page.figure({"footage", row, "duration_s"}, 0),
            page.figure({"footage", row, "coverage_pct"}, 1),
            page.figure({"footage", row, "resets"}, 0));
    }
    return rows;
}

// Each reel's own scale, which stands with every run that it was used for.
std::string reel_words(const PageData& page) {
    std::string text;
    const bool metric = page.unit() == LengthUnit::metre;
    const char* one = metric ? "metre" : "foot";
    const char* many = metric ? "metres" : "feet";
    const AsBuilt& as_built = page.as_built();
    for (const ReelScale& reel : as_built.lines.reels) {
        if (!reel.told_by_data) continue;
        const bool by_sticks = std::ranges::any_of(as_built.lines.runs, [&](const auto& run) {
            return run.run.reel == reel.reel && run.run.scale_by_sticks;
        });
        for (std::size_t run = 0; run < as_built.lines.runs.size(); ++run) {
            if (as_built.lines.runs[run].run.reel != reel.reel) continue;
            text += fmt::format(
                "<p>The reel{}{}: by the day's fixes{} one counted {} is {} ± {} true {}.</p>",
                reel.reel.empty() ? "" : " ", escaped(reel.reel),
                by_sticks ? " and the length of the sticks" : "", one,
                page.figure({"pipe_runs", run, "reel_day_scale"}, 4),
                page.figure({"pipe_runs", run, "reel_day_scale_sd"}, 4, 1.0 / normal_95), many);
            break;
        }
    }
    return text;
}

}  // namespace

std::string findings_section(const PageData& page) {
    const auto& findings = page.as_built().findings;
    if (findings.empty()) {
        return "<section><h2 id=\"findings\">Findings</h2><p>Nothing to remark.</p></section>";
    }
    std::string rows;
    for (std::size_t row = 0; row < findings.size(); ++row) {
        rows += fmt::format(
            "<tr><td><span class=\"word {0}\">{0}</span></td><td class=\"why as-given\">{1}</td>"
            "<td>{2}<br><span class=\"why\">{3}</span></td></tr>",
            word(findings[row].severity), escaped(describe(findings[row].where, page.unit())),
            page.words({"findings", row, "what"}), page.words({"findings", row, "what_to_do"}));
    }
    return fmt::format(
        "<section><h2 id=\"findings\">Findings</h2><div class=\"wide\"><table><thead><tr>"
        "<th>How bad</th><th>Where</th><th>What, and what to do</th></tr></thead>"
        "<tbody>{}</tbody></table></div></section>",
        rows);
}

std::string method_section(const PageData& page) {
    return fmt::format(
        "<section><h2>How it was measured</h2><p class=\"as-given\">The footage counter was read "
        "out of the picture several times a second; a reading that is not sure enough counts as "
        "missing. All runs, structures and fixes were adjusted together by least squares; a fix "
        "that does not fit is set aside and named above. Heights come from depths, levels and "
        "taped "
        "inverts, each with its own weight. Every bound is a 95 % bound. What the data cannot "
        "carry "
        "is withheld.</p>{}"
        "<div class=\"wide\"><table><thead><tr><th>Clip</th><th>Counter in the picture</th>"
        "<th class=\"num\">Footage</th><th class=\"num\">Read</th><th class=\"num\">Set anew</th>"
        "</tr></thead><tbody>{}</tbody></table></div><p class=\"quiet as-given\">sondeline {}. "
        "Every "
        "reading stands in the folder readings, every figure of this page in asbuilt.gpkg.</p>"
        "</section>",
        reel_words(page), footage_rows(page), escaped(page.as_built().version));
}

// Figures: OSHA 29 CFR 1910.146 (confined spaces) and 1926.652 (trenches), NIOSH pocket guide.
std::string cautions_section() {
    return "<section><h2 id=\"cautions\">Cautions</h2><div class=\"safety as-given\"><ul>"
           "<li>Never enter a tank, a pit or a box, and never lean into one alone. Hydrogen "
           "sulphide, methane and lack of oxygen kill without warning. No flame at an open "
           "lid.</li>"
           "<li>Never leave a lid open unattended; secure it and check it before leaving. Old lids "
           "may give way underfoot.</li>"
           "<li>Before any digging or probing, call the one-call centre (811 in the US) and wait "
           "the legal notice. Private lines are not marked.</li>"
           "<li>A locator's depth is an estimate and no licence to dig: expose by hand or vacuum. "
           "Trenches of 5 ft (1.5 m) and more need protection against cave-in.</li>"
           "<li>Treat all effluent as infectious.</li>"
           "<li>This page records what was measured that day. Approval, design and repair belong "
           "to the local health department and to licensed designers, installers and surveyors; "
           "the local code wins over every figure here.</li></ul></div></section>";
}

}  // namespace sondeline
