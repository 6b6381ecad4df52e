#include "deliverables/report.hpp"

#include <fmt/format.h>

#include "deliverables/page/assets.hpp"
#include "deliverables/page/html_text.hpp"
#include "deliverables/page/sections.hpp"

namespace sondeline {

std::string report_html(const AsBuilt& as_built, std::span<const LayerTable> layers,
                        const std::filesystem::path& out) {
    const PageData page(as_built, layers);
    std::vector<RunMotion> motions;
    for (std::size_t run = 0; run < as_built.lines.runs.size(); ++run) {
        motions.push_back(run_motion(as_built, run));
    }
    std::string text = fmt::format(
        "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">"
        "<title>{}: the pipes as found</title>\n<style>\n{}</style></head>\n<body><main>\n",
        escaped(as_built.job.settings.site), page_style());
    for (const std::string& section :
         {title_block(page), in_short(page), plan_section(page, motions), runs_table(page),
          records_section(page), profile_sections(page, motions), quantities_section(page),
          load_test_section(page), findings_section(page), cautions_section(),
          method_section(page)}) {
        text += section + "\n";
    }
    return text + "</main>\n" + script_data(page, motions, out) +
           fmt::format("\n<script>\n{}</script></body></html>\n", page_script());
}

}  // namespace sondeline
