#include "deliverables/report.hpp"

#include <fmt/format.h>

#include "deliverables/page/html_text.hpp"
#include "deliverables/page/sections.hpp"
#include "deliverables/page/style.hpp"

namespace sondeline {

std::string report_html(const AsBuilt& as_built) {
    return fmt::format(
        "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">"
        "<title>{}: the pipes as found</title><style>{}</style></head>\n<body><main>\n"
        "{}\n{}\n{}\n{}\n{}\n{}\n{}\n{}\n{}\n{}\n</main></body></html>\n",
        escaped(as_built.job.settings.site), page_style(), title_block(as_built),
        in_short(as_built), plan_section(as_built), runs_table(as_built), records_section(as_built),
        profile_sections(as_built), load_test_section(as_built), findings_section(as_built),
        cautions_section(), method_section(as_built));
}

}  // namespace sondeline
