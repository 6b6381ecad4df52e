#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "deliverables/page/assets.hpp"
#include "deliverables/page/html_text.hpp"
#include "deliverables/page/paper_scale.hpp"
#include "deliverables/page/pictures.hpp"
#include "deliverables/page/sections.hpp"

namespace sondeline {

namespace {

constexpr double side_margin_mm = 13.0;
constexpr double top_margin_mm = 13.0;
constexpr double bottom_margin_mm = 17.0;
// Heading, legend and the words on the scale stand on the same sheet as the plan.
constexpr double words_on_plan_mm = 52.0;

constexpr double margin_of_plan_px = 48.0;  // for the labels at its edge

struct PlanSheet {
    SheetSize drawing;
    PaperScale scale;
    bool landscape = false;
};

SheetSize drawing_on(double width_mm, double height_mm) {
    const double wide_mm = width_mm - 2.0 * side_margin_mm;
    const double high_mm = height_mm - top_margin_mm - bottom_margin_mm - words_on_plan_mm;
    return {wide_mm * px_per_mm, high_mm * px_per_mm};
}

// Upright unless lying down allows a larger scale.
PlanSheet plan_sheet(const PlanView& view, const Sheet& sheet, LengthUnit unit) {
    PlanSheet upright{drawing_on(sheet.width_mm, sheet.height_mm), {}, false};
    PlanSheet lying{drawing_on(sheet.height_mm, sheet.width_mm), {}, true};
    upright.scale = largest_scale(view, upright.drawing, unit);
    lying.scale = largest_scale(view, lying.drawing, unit);
    const auto none = [](const PlanSheet& one) { return one.scale.denominator == 0.0; };
    if (none(lying)) return upright;
    if (none(upright) || lying.scale.denominator < upright.scale.denominator) return lying;
    return upright;
}

// A drawing's size on paper, in its opening tag.
std::string sized(std::string svg, const SheetSize& size) {
    const std::string attributes =
        fmt::format(" width=\"{:.3f}mm\" height=\"{:.3f}mm\"", size.width_px / px_per_mm,
                    size.height_px / px_per_mm);
    return svg.insert(std::string_view("<svg").size(), attributes);
}

std::string plan_on_paper(const PageData& page, const Sheet& sheet) {
    PlanView screen = plan_view(page.as_built());
    screen.margin_px = margin_of_plan_px;
    if (screen.empty) {
        return "<section><h2>Plan</h2><p>Nothing has a place yet, so there is no plan.</p>" +
               notes_list(page) + "</section>";
    }
    const PlanSheet on = plan_sheet(screen, sheet, page.unit());
    const bool to_scale = on.scale.denominator > 0.0;
    const double px_per_m =
        to_scale ? px_per_ground_metre(on.scale)
                 : screen.px_per_m * std::min(on.drawing.width_px / screen.width_px,
                                              on.drawing.height_px / screen.height_px);
    const PlanView view = plan_view_on(screen, on.drawing, px_per_m);
    const std::string words =
        to_scale ? fmt::format(
                       "Scale {} on {} printed at 100 %; check it by the bar before "
                       "measuring on the paper.",
                       on.scale.words, sheet.name)
                 : "Too large for a usual scale on this sheet: measure by the bar.";
    return fmt::format(
        "<section class=\"{}\"><h2>Plan</h2>{}{}<p class=\"scale-words\"><b>{}</b></p><p "
        "class=\"quiet\">The pipes as found on that day, each within the band drawn beside it; no "
        "boundary survey, and no licence to dig: call the one-call centre first.</p></section>"
        "<section>{}</section>",
        on.landscape ? "sheet lying" : "sheet", sized(plan_svg(page, view), on.drawing),
        plan_legend(), words, notes_list(page));
}

// The paper's renderer applies a drawing's style only when it stands inside the drawing.
std::string with_style_inside(std::string html) {
    const std::string style = fmt::format(
        "<style>{}.marker{{display:none}}svg text{{font-family:sans-serif;"
        "stroke:none!important}}</style>",
        drawings_style());
    for (std::size_t at = html.find("<svg"); at != std::string::npos; at = html.find("<svg", at)) {
        at = html.find('>', at) + 1;
        html.insert(at, style);
        at += style.size();
    }
    return html;
}

}  // namespace

std::string paper_html(const PageData& page, const std::vector<RunMotion>& motions) {
    const Sheet sheet = sheet_for(page.unit());
    std::string body;
    for (const std::string& section :
         {title_block(page), in_short(page), cautions_section(), plan_on_paper(page, sheet),
          runs_table(page), records_section(page), quantities_section(page), drops_section(page),
          load_test_section(page), profile_sections(page, motions), findings_section(page),
          method_section(page)}) {
        body += section + "\n";
    }
    return fmt::format(
        "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">"
        "<title>{}: the pipes as found</title>\n<style>\n{}@page{{size:{};margin:{}mm {}mm {}mm}}"
        "@page lying{{size:{} landscape}}</style></head>\n<body>\n{}</body></html>\n",
        escaped(page.as_built().job.settings.site), paper_style(), sheet.css, top_margin_mm,
        side_margin_mm, bottom_margin_mm, sheet.css, with_style_inside(std::move(body)));
}

}  // namespace sondeline
