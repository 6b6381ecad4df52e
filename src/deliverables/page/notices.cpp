#include <fmt/format.h>

#include "deliverables/page/html_text.hpp"
#include "deliverables/page/sections.hpp"

namespace sondeline {

namespace {

std::string footage_rows(const AsBuilt& as_built) {
    std::string rows;
    for (const Track& track : as_built.tracks) {
        rows += fmt::format(
            "<tr><td>{}</td><td>{}</td><td class=\"num\">{:.0f} s</td>"
            "<td class=\"num\">{:.0f} %</td><td class=\"num\">{}</td></tr>",
            escaped(track.clip.name),
            track.format ? escaped(track.format->pattern) : "no counter found",
            track.clip.duration_s, 100.0 * track.coverage, track.zeroings.size());
    }
    return rows;
}

std::string reel_words(const AsBuilt& as_built) {
    std::string text;
    for (const ReelScale& reel : as_built.lines.reels) {
        if (!reel.told_by_data) continue;
        text += fmt::format(
            "<p>The reel{}{}: the day's fixes make one counted length {:.4f} ± {:.4f} "
            "of a true one.</p>",
            reel.reel.empty() ? "" : " ", escaped(reel.reel), reel.scale.value,
            1.96 * reel.scale.sd);
    }
    return text;
}

}  // namespace

std::string findings_section(const AsBuilt& as_built) {
    if (as_built.findings.empty()) {
        return "<h2 id=\"findings\">Findings</h2><p>Nothing to remark.</p>";
    }
    std::string rows;
    for (const Finding& finding : as_built.findings) {
        rows += fmt::format(
            "<tr><td><span class=\"word {0}\">{0}</span></td><td class=\"why\">{1}"
            "</td><td>{2}<br><span class=\"why\">{3}</span></td></tr>",
            word(finding.severity), escaped(describe(finding.where, as_built.site.job_unit)),
            escaped(finding.what), escaped(finding.what_to_do));
    }
    return fmt::format(
        "<h2 id=\"findings\">Findings</h2><div class=\"wide\"><table><thead><tr>"
        "<th>How bad</th><th>Where</th><th>What, and what to do</th></tr></thead>"
        "<tbody>{}</tbody></table></div>",
        rows);
}

std::string method_section(const AsBuilt& as_built) {
    return fmt::format(
        "<h2>How it was measured</h2><p>The footage counter was read out of the picture about ten "
        "times a second; a reading that is not sure enough counts as missing. All runs, structures "
        "and fixes were adjusted together by least squares; a fix that does not fit is set aside "
        "and "
        "named above. Heights come from depths, levels and taped inverts, each with its own "
        "weight. "
        "Every bound is a 95 % bound. What the data cannot carry is withheld.</p>{}"
        "<div class=\"wide\"><table><thead><tr><th>Clip</th><th>Counter in the picture</th>"
        "<th class=\"num\">Footage</th><th class=\"num\">Read</th><th class=\"num\">Set anew</th>"
        "</tr></thead><tbody>{}</tbody></table></div><p class=\"quiet\">sondeline {}. Every "
        "reading "
        "stands in the folder readings, every layer in asbuilt.gpkg.</p>",
        reel_words(as_built), footage_rows(as_built), escaped(as_built.version));
}

// Figures: OSHA 29 CFR 1910.146 (confined spaces) and 1926.652 (trenches), NIOSH pocket guide.
std::string cautions_section() {
    return "<h2>Cautions</h2><div class=\"safety\"><ul>"
           "<li>Never enter a tank, a pit or a box, and never lean into one alone. Hydrogen "
           "sulphide, methane and lack of oxygen kill without warning. No flame at an open "
           "lid.</li>"
           "<li>Never leave a lid open unattended; secure it and check it before leaving. Old lids "
           "may give way underfoot.</li>"
           "<li>Before any digging or probing, call the one-call centre (811 in the US) and wait "
           "the "
           "legal notice. Private lines are not marked.</li>"
           "<li>A locator's depth is an estimate and no licence to dig: expose by hand or vacuum. "
           "Trenches of 5 ft (1.5 m) and more need protection against cave-in.</li>"
           "<li>Treat all effluent as infectious.</li>"
           "<li>This page records what was measured that day. Approval, design and repair belong "
           "to "
           "the local health department and to licensed designers, installers and surveyors; the "
           "local code wins over every figure here.</li></ul></div>";
}

}  // namespace sondeline
