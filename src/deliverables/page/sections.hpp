// The sections of the page, in HTML, in the order in which they stand.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "deliverables/page/key_stills.hpp"
#include "deliverables/page/page_data.hpp"
#include "deliverables/page/run_motion.hpp"

namespace sondeline {

std::string title_block(const PageData& page);
std::string in_short(const PageData& page);
// Plan with the footage beside it.
std::string plan_section(const PageData& page, const std::vector<RunMotion>& motions);
std::string plan_legend();
std::string notes_list(const PageData& page);
std::string runs_table(const PageData& page);
std::string profile_sections(const PageData& page, const std::vector<RunMotion>& motions);
// Links to the pictures beside the page; for the screen, as paper has no files beside it.
std::string evidence_section(const PageData& page, const std::vector<RunMotion>& motions);
std::string records_section(const PageData& page);
std::string quantities_section(const PageData& page);
std::string load_test_section(const PageData& page);
std::string drops_section(const PageData& page);
std::string findings_section(const PageData& page);
std::string method_section(const PageData& page);
std::string cautions_section();

// What the page's script needs: clips with their addresses seen from `out`, the way of the head of
// every run, its stills, and where its stations lie on the plan. An element to stand at the end of
// the page.
std::string script_data(const PageData& page, const std::vector<RunMotion>& motions,
                        const std::vector<std::vector<KeyStill>>& stills,
                        const std::filesystem::path& out);

// The whole page for paper, with its style inside and nothing from outside: the plan to a usual
// scale on a sheet of its own, no footage and no script.
std::string paper_html(const PageData& page, const std::vector<RunMotion>& motions);

}  // namespace sondeline
