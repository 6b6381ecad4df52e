#include "deliverables/report.hpp"

#include <fmt/format.h>

#include "deliverables/page/assets.hpp"
#include "deliverables/page/html_text.hpp"
#include "deliverables/page/sections.hpp"

namespace sondeline {

namespace {

std::vector<RunMotion> motions_of(const AsBuilt& as_built) {
    std::vector<RunMotion> motions;
    for (std::size_t run = 0; run < as_built.lines.runs.size(); ++run) {
        motions.push_back(run_motion(as_built, run));
    }
    return motions;
}

}  // namespace

std::string report_html(const AsBuilt& as_built, std::span<const LayerTable> layers,
                        const std::filesystem::path& out) {
    const PageData page(as_built, layers);
    const std::vector<RunMotion> motions = motions_of(as_built);
    std::string text = fmt::format(
        "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">"
        "<title>{}: the pipes as found</title>\n<style>\n{}{}</style></head>\n<body><main>\n",
        escaped(as_built.job.settings.site), page_style(), drawings_style());
    for (const std::string& section :
         {title_block(page), in_short(page), plan_section(page, motions), runs_table(page),
          records_section(page), profile_sections(page, motions), evidence_section(page, motions),
          quantities_section(page), drops_section(page), load_test_section(page),
          findings_section(page), cautions_section(), method_section(page)}) {
        text += section + "\n";
    }
    return text + "</main>\n" + script_data(page, motions, key_stills(as_built, motions), out) +
           fmt::format("\n<script>\n{}</script></body></html>\n", page_script());
}

std::string report_for_paper(const AsBuilt& as_built, std::span<const LayerTable> layers) {
    return paper_html(PageData(as_built, layers), motions_of(as_built));
}

}  // namespace sondeline
