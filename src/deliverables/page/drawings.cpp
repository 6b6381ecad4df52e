#include <algorithm>

#include <fmt/format.h>

#include "deliverables/page/html_text.hpp"
#include "deliverables/page/pictures.hpp"
#include "deliverables/page/sections.hpp"

namespace sondeline {

namespace {

std::string legend_entry(std::string_view drawing, std::string_view words) {
    return fmt::format("<span><svg viewBox=\"0 0 26 16\" aria-hidden=\"true\">{}</svg>{}</span>",
                       drawing, words);
}

}  // namespace

std::string plan_legend() {
    return "<div class=\"legend as-given\">" +
           legend_entry("<path class=\"pipe\" d=\"M1 8 H25\"/>", "pipe") +
           legend_entry("<path class=\"pipe unsure\" d=\"M1 8 H25\"/>",
                        "pipe drawn without bounds") +
           legend_entry("<rect class=\"band\" x=\"1\" y=\"3\" width=\"24\" height=\"10\"/>",
                        "where it lies, 95 %") +
           legend_entry("<path class=\"belly\" d=\"M1 8 H25\"/>", "standing water") +
           legend_entry("<rect class=\"structure\" x=\"8\" y=\"3\" width=\"10\" height=\"10\"/>",
                        "structure") +
           legend_entry("<path class=\"reference\" d=\"M13 3 l5 9 h-10 z\"/>", "reference mark") +
           legend_entry("<path class=\"fix\" d=\"M8 8 h10 m-5 -5 v10\"/>", "locator fix") +
           legend_entry(
               "<path class=\"fix set-aside\" d=\"M9 8 h8 m-4 -4 v8\"/>"
               "<circle class=\"set-aside\" cx=\"13\" cy=\"8\" r=\"6.5\"/>",
               "fix set aside") +
           legend_entry("<circle class=\"note\" cx=\"13\" cy=\"8\" r=\"6\"/>",
                        "note, numbered as listed") +
           "</div>";
}

namespace {

std::string profile_legend() {
    return "<div class=\"legend as-given\">" +
           legend_entry("<path class=\"ground\" d=\"M1 8 H25\"/>", "ground") +
           legend_entry("<path class=\"pipe\" d=\"M1 8 H25\"/>", "invert") +
           legend_entry("<rect class=\"band\" x=\"1\" y=\"3\" width=\"24\" height=\"10\"/>",
                        "where it lies, 95 %") +
           legend_entry("<circle class=\"depth\" cx=\"13\" cy=\"8\" r=\"4\"/>",
                        "invert by one locator depth") +
           legend_entry("<circle class=\"depth set-aside\" cx=\"13\" cy=\"8\" r=\"4\"/>",
                        "depth set aside") +
           legend_entry("<rect class=\"water\" x=\"1\" y=\"5\" width=\"24\" height=\"6\"/>",
                        "standing water") +
           legend_entry("<path class=\"way\" d=\"M1 13 L9 8 H17 L25 3\"/>", "way of the head") +
           legend_entry("<path class=\"stop\" d=\"M3 8 H23\"/>", "the head stood still") +
           legend_entry("<rect class=\"unread\" x=\"1\" y=\"1\" width=\"24\" height=\"14\"/>",
                        "counter not read") +
           "</div>";
}

}  // namespace

std::string notes_list(const PageData& page) {
    std::string items;
    for (std::size_t row = 0; row < page.layer("observations").rows.size(); ++row) {
        const std::string at = page.length({"observations", row, "station_m"}, 1);
        const std::string to = page.length({"observations", row, "to_station_m"}, 1);
        const std::string severity = page.words({"observations", row, "severity"});
        items += fmt::format("<li>{}{}{}: {}{}</li>", page.words({"observations", row, "run_id"}),
                             at.empty() ? "" : ", " + at, to.empty() ? "" : " to " + to,
                             page.words({"observations", row, "what"}),
                             severity.empty() ? "" : ", " + severity);
    }
    return items.empty() ? "" : "<h3>Notes</h3><ol class=\"notes\">" + items + "</ol>";
}

namespace {

// Hidden until the script finds that it can work.
std::string footage_panel(const std::vector<RunMotion>& motions) {
    bool any = false;
    for (const RunMotion& motion : motions) any = any || !motion.clips.empty();
    if (!any) return "";
    return "<div class=\"footage as-given\" id=\"footage\" hidden><h3>Footage</h3>"
           "<div class=\"clips\" role=\"group\" aria-label=\"Clips\"></div>"
           "<video muted playsinline preload=\"metadata\"></video>"
           "<p class=\"trouble\" hidden></p>"
           "<figure class=\"still\" hidden><img alt=\"\"><figcaption></figcaption></figure>"
           "<div class=\"moments\" role=\"group\" aria-label=\"Stills\" hidden></div>"
           "<div class=\"drive\"><button type=\"button\" class=\"play\">Play</button>"
           "<label class=\"slide\">Moment <input type=\"range\" min=\"0\" max=\"1\" "
           "step=\"0.1\" value=\"0\"></label></div>"
           "<p class=\"readout\" aria-live=\"off\"></p><div class=\"chosen\"></div>"
           "<p class=\"quiet\">Choose a clip, or a place on the plan or a profile. Keys on a "
           "chosen "
           "profile: arrows go along the pipe, page keys ten steps, home and end to its ends, the "
           "space bar plays.</p></div>";
}

// Pictures out of the clips of a run, in files beside the page.
std::string evidence_links(const AsBuilt& as_built, const RunMotion& motion) {
    const std::vector<std::string> folders = evidence_folders(as_built.job);
    std::string links;
    for (const MotionClip& clip : motion.clips) {
        const auto file = std::ranges::find(as_built.job.footage, clip.name, &FootageFile::name);
        if (clip.track == nullptr || file == as_built.job.footage.end()) continue;
        const auto index = static_cast<std::size_t>(file - as_built.job.footage.begin());
        for (const NamedPicture& named : named_evidence(*clip.track)) {
            links += fmt::format("{}<a href=\"{}/{}\">{}</a>", links.empty() ? "" : " · ",
                                 folders[index], named.name, escaped(named.picture->what));
        }
    }
    return links;
}

}  // namespace

std::string plan_section(const PageData& page, const std::vector<RunMotion>& motions) {
    const std::string plan = plan_svg(page, plan_view(page.as_built()));
    const std::string drawing =
        plan.empty()
            ? "<p>Nothing has a place yet. Give positions of the structures or fixes with lon and "
              "lat, or x and y, and process the folder again.</p>"
            : "<div class=\"pan\">" + plan +
                  plan_svg(page, narrow_plan_view(page.as_built()), " narrow") + "</div>" +
                  plan_legend();
    return fmt::format(
        "<section><h2>Plan</h2><div class=\"beside\"><div>{}{}</div>{}</div>"
        "</section>",
        drawing, notes_list(page), footage_panel(motions));
}

std::string profile_sections(const PageData& page, const std::vector<RunMotion>& motions) {
    std::string text = "<section><h2>Run by run</h2>" + profile_legend();
    for (std::size_t run = 0; run < page.layer("pipe_runs").rows.size(); ++run) {
        const auto paragraph = [&](std::string_view before, const CellRef& ref) {
            const std::string words = page.words(ref);
            return words.empty() ? "" : fmt::format("<p class=\"quiet\">{}{}</p>", before, words);
        };
        const std::string profile = profile_svg(page, run);
        const std::string motion = motion_svg(page, run, motions[run]);
        text += fmt::format(
            "<div class=\"run\"><div class=\"keep\"><h3>{} <span class=\"quiet\">{}</span></h3>{}{}"
            "</div>{}{}{}</div>",
            page.words({"pipe_runs", run, "run_id"}), page.words({"pipe_runs", run, "kind"}),
            paragraph("", {"pipe_runs", run, "quality"}),
            profile.empty() ? "<p>No profile: no depths were given.</p>"
                            : "<div class=\"pan\">" + profile + "</div>",
            motion.empty() ? "" : "<div class=\"pan keep\">" + motion + "</div>",
            paragraph("Bends: ", {"pipe_runs", run, "bends"}),
            paragraph("", {"pipe_runs", run, "smallest_belly"}) +
                paragraph("", {"pipe_runs", run, "smallest_water"}) +
                paragraph("", {"pipe_runs", run, "capacity"}));
    }
    return text + "</section>";
}

std::string evidence_section(const PageData& page, const std::vector<RunMotion>& motions) {
    std::string items;
    for (std::size_t run = 0; run < motions.size(); ++run) {
        const std::string links = evidence_links(page.as_built(), motions[run]);
        if (links.empty()) continue;
        items += fmt::format("<li>{}: {}</li>", page.words({"pipe_runs", run, "run_id"}), links);
    }
    if (items.empty()) return "";
    return "<section class=\"screen-only\"><h2>Pictures from the footage</h2><p class=\"quiet\">"
           "The counter, and water where it was seen. They lie in the folder evidence beside this "
           "page.</p><ul>" +
           items + "</ul></section>";
}

}  // namespace sondeline
