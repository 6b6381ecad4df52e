#include <fmt/format.h>

#include "deliverables/page/html_text.hpp"
#include "deliverables/page/pictures.hpp"
#include "deliverables/page/sections.hpp"
#include "deliverables/placing.hpp"

namespace sondeline {

namespace {

std::string legend_entry(std::string_view drawing, std::string_view words) {
    return fmt::format("<span><svg viewBox=\"0 0 26 14\" aria-hidden=\"true\">{}</svg>{}</span>",
                       drawing, words);
}

std::string plan_legend() {
    return "<div class=\"legend\">" +
           legend_entry("<path class=\"pipe\" d=\"M1 7 H25\"/>", "pipe") +
           legend_entry("<path class=\"pipe unsure\" d=\"M1 7 H25\"/>",
                        "pipe drawn without bounds") +
           legend_entry("<rect class=\"band\" x=\"1\" y=\"2\" width=\"24\" height=\"10\"/>",
                        "where it lies, 95 %") +
           legend_entry("<path class=\"belly\" d=\"M1 7 H25\"/>", "standing water") +
           legend_entry("<rect class=\"structure\" x=\"8\" y=\"2\" width=\"10\" height=\"10\"/>",
                        "structure") +
           legend_entry("<path class=\"reference\" d=\"M13 2 l5 9 h-10 z\"/>", "reference mark") +
           legend_entry("<path class=\"fix\" d=\"M8 7 h10 m-5 -5 v10\"/>", "locator fix") +
           legend_entry("<circle class=\"set-aside\" cx=\"13\" cy=\"7\" r=\"6\"/>",
                        "fix set aside") +
           legend_entry("<circle class=\"note\" cx=\"13\" cy=\"7\" r=\"4\"/>", "note") + "</div>";
}

std::string profile_legend() {
    return "<div class=\"legend\">" +
           legend_entry("<path class=\"ground\" d=\"M1 7 H25\"/>", "ground") +
           legend_entry("<path class=\"pipe\" d=\"M1 7 H25\"/>", "invert") +
           legend_entry("<rect class=\"band\" x=\"1\" y=\"2\" width=\"24\" height=\"10\"/>",
                        "where it lies, 95 %") +
           legend_entry("<circle class=\"depth\" cx=\"13\" cy=\"7\" r=\"4\"/>",
                        "invert by one locator depth") +
           legend_entry("<circle class=\"depth set-aside\" cx=\"13\" cy=\"7\" r=\"4\"/>",
                        "depth set aside") +
           legend_entry("<rect class=\"water\" x=\"1\" y=\"4\" width=\"24\" height=\"6\"/>",
                        "standing water") +
           "</div>";
}

std::string bends_words(const AsBuilt& as_built, const AlignedRun& run) {
    std::string text;
    for (const Bend& bend : run.bends) {
        text += fmt::format(
            "<li>Bend at {}: {:.0f}° ± {:.0f} to the {}{}{}</li>",
            length_words(bend.station_m, as_built.site.job_unit, 1),
            std::abs(bend.angle_rad.value) * 57.29577951308232,
            1.96 * bend.angle_rad.sd * 57.29577951308232,
            bend.angle_rad.value > 0.0 ? "right" : "left",
            bend.nearest_fitting.empty() ? "" : ", nearest: ", escaped(bend.nearest_fitting));
    }
    return text;
}

std::string notes_words(const AsBuilt& as_built, int run_index) {
    std::string text;
    const AlignedRun& run = as_built.lines.runs[static_cast<std::size_t>(run_index)];
    const LengthUnit unit = as_built.site.job_unit;
    for (const SiteNote& placed : as_built.site.notes) {
        if (placed.run != run_index) continue;
        const Note& note = as_built.job.notes[static_cast<std::size_t>(placed.note)];
        std::string where = "at " + length_words(station_of_x(run, placed.x_m), unit, 1);
        if (placed.to_x_m) {
            where =
                fmt::format("from {} to {}", length_words(station_of_x(run, placed.x_m), unit, 1),
                            length_words(station_of_x(run, *placed.to_x_m), unit, 1));
        }
        text += fmt::format("<li>Noted {}: {}{}{}</li>", where, escaped(note.what),
                            note.severity.empty() ? "" : ", ", escaped(note.severity));
    }
    return text;
}

}  // namespace

std::string plan_section(const AsBuilt& as_built) {
    const std::string plan = plan_svg(as_built);
    if (plan.empty()) {
        return "<h2>Plan</h2><p>Nothing has a place yet. Give positions of the structures or fixes "
               "with lon and lat, or x and y, and process the folder again.</p>";
    }
    return "<h2>Plan</h2>" + plan + plan_legend();
}

std::string profile_sections(const AsBuilt& as_built) {
    std::string text = "<h2>Run by run</h2>";
    for (std::size_t i = 0; i < as_built.lines.runs.size(); ++i) {
        const AlignedRun& run = as_built.lines.runs[i];
        const GradedRun& graded = as_built.profiles.runs[i];
        text += fmt::format("<div class=\"keep\"><h3>{} <span class=\"quiet\">{}</span></h3>",
                            escaped(run.run.id.text), word(run.run.kind));
        const std::string& held = run.points.empty() ? run.why_not_placed.reason : run.quality;
        if (!held.empty()) text += "<p class=\"quiet\">" + escaped(held) + "</p>";
        text += profile_svg(as_built, i) + "</div>";
        const std::string list =
            bends_words(as_built, run) + notes_words(as_built, static_cast<int>(i));
        if (!list.empty()) text += "<ul>" + list + "</ul>";
        if (!graded.capacity_words.empty()) {
            text += "<p class=\"quiet\">" + escaped(graded.capacity_words) + "</p>";
        }
    }
    return text + profile_legend();
}

}  // namespace sondeline
