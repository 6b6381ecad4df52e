#include <set>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "deliverables/page/html_text.hpp"
#include "deliverables/page/sections.hpp"
#include "terms/units.hpp"

namespace sondeline {

namespace {

// A text column that says why a figure is missing and what would settle it.
std::string reason(const PageData& page, const CellRef& why) {
    return "<span class=\"word\">withheld</span><br><span class=\"why\">" + page.words(why) +
           "</span>";
}

std::string ends(const PageData& page, std::size_t run) {
    const std::string from = page.words({"pipe_runs", run, "from_id"});
    const std::string to = page.words({"pipe_runs", run, "to_id"});
    const std::string start = from.empty() ? "?" : from;
    if (page.text({"pipe_runs", run, "reached_end"}) == "no") {
        return fmt::format("{} towards {}, stopped short", start, to.empty() ? "its end" : to);
    }
    if (!to.empty()) return fmt::format("{} to {}", start, to);
    const bool told = page.text({"pipe_runs", run, "reached_end"}) == "yes";
    return fmt::format("{} to {}", start,
                       told ? "blind end" : "where the footage ends; end not told");
}

std::string length_cell(const PageData& page, std::size_t run) {
    if (!page.number({"pipe_runs", run, "length_m"})) {
        return reason(page, {"pipe_runs", run, "length_withheld"});
    }
    return page.bounded_length("pipe_runs", run, "length");
}

std::string depth_cell(const PageData& page, std::size_t run) {
    if (!page.number({"pipe_runs", run, "min_depth_m"}) ||
        !page.number({"pipe_runs", run, "max_depth_m"})) {
        return reason(page, {"pipe_runs", run, "depth_withheld"});
    }
    return fmt::format("{}<br>to {}", page.bounded_length("pipe_runs", run, "min_depth"),
                       page.bounded_length("pipe_runs", run, "max_depth"));
}

std::string_view verdict_look(std::string_view verdict) {
    if (verdict == "below") return "below";
    if (verdict == "cannot tell") return "cannot";
    return "meets";
}

// Behind a stretch whose slope cannot be held against what is asked: the reason, or the slope with
// bounds that lie on either side of it.
std::string why_not_told(const PageData& page, std::size_t row) {
    if (page.text({"stretches", row, "verdict"}) != "cannot tell") return "";
    if (!page.number({"stretches", row, "slope_pct"})) {
        return ": " + page.words({"stretches", row, "slope_withheld"});
    }
    return fmt::format(": its slope is {} % ± {}", page.figure({"stretches", row, "slope_pct"}, 2),
                       page.figure({"stretches", row, "slope_sd_pct"}, 2, 1.0 / normal_95));
}

// Nobody knows what should be asked of it, as the kind of the run is in doubt.
bool asks_for_doubt(const PageData& page, std::size_t row) {
    return !page.number({"stretches", row, "minimum_slope_pct"}) &&
           page.text({"stretches", row, "verdict"}) == "cannot tell";
}

// The stretches of a run with what is asked of each.
std::string stretches_of(const PageData& page, std::size_t run) {
    std::string text;
    const std::string id = page.text({"pipe_runs", run, "run_id"});
    for (std::size_t row = 0; row < page.layer("stretches").rows.size(); ++row) {
        if (page.text({"stretches", row, "run_id"}) != id) continue;
        if (asks_for_doubt(page, row)) {
            return fmt::format(
                "<br><span class=\"word {}\">cannot tell</span> <span class=\"why\">what slope is "
                "asked: {}</span>",
                verdict_look("cannot tell"), page.words({"stretches", row, "minimum_source"}));
        }
        if (!page.number({"stretches", row, "minimum_slope_pct"})) continue;
        const std::string verdict = page.text({"stretches", row, "verdict"});
        if (verdict == "not asked") continue;
        text += fmt::format(
            "<br><span class=\"word {}\">{}</span> <span class=\"why\">{}{} % asked from {} to {}{}"
            "</span>",
            verdict_look(verdict), verdict, verdict == "cannot tell" ? "whether it falls the " : "",
            page.figure({"stretches", row, "minimum_slope_pct"}, 2),
            page.length({"stretches", row, "from_m"}, 0),
            page.length({"stretches", row, "to_m"}, 0), why_not_told(page, row));
    }
    return text;
}

std::string slope_cell(const PageData& page, std::size_t run) {
    if (!page.number({"pipe_runs", run, "slope_pct"})) {
        return reason(page, {"pipe_runs", run, "slope_withheld"});
    }
    return fmt::format("{} % ± {}{}", page.figure({"pipe_runs", run, "slope_pct"}, 2),
                       page.figure({"pipe_runs", run, "slope_sd_pct"}, 2, 1.0 / normal_95),
                       stretches_of(page, run));
}

// Small heights in the small unit of the job's system.
std::string small_height(const PageData& page, const CellRef& ref) {
    if (page.unit() == LengthUnit::metre) return page.figure(ref, 1, 0.01) + " cm";
    return page.figure(ref, 1, inch_m) + " in";
}

// What the footage would have shown; empty where it is sure of no depth.
std::string least_water(const PageData& page, std::size_t run) {
    const CellRef water{"pipe_runs", run, "smallest_water_m"};
    if (!page.number(water)) return "";
    return fmt::format(
        "<br><span class=\"why\">the least water the footage would show: {} along {} % of "
        "it</span>",
        small_height(page, water), page.figure({"pipe_runs", run, "smallest_water_pct"}, 0));
}

std::string water_cell(const PageData& page, std::size_t run) {
    std::string text;
    const std::string id = page.text({"pipe_runs", run, "run_id"});
    for (std::size_t row = 0; row < page.layer("bellies").rows.size(); ++row) {
        if (page.text({"bellies", row, "run_id"}) != id) continue;
        text += fmt::format("{}<b>{} to {}</b>: {}", text.empty() ? "" : "<br>",
                            page.bounded_length("bellies", row, "from"),
                            page.bounded_length("bellies", row, "to"),
                            page.words({"bellies", row, "words"}));
    }
    const CellRef sag{"pipe_runs", run, "smallest_sag_m"};
    const std::string water = least_water(page, run);
    if (!page.number(sag)) {
        return (text.empty() ? "heights could show no sag" : text) + water;
    }
    return fmt::format(
        "{}<br><span class=\"why\">the smallest sag that heights would show: {} over {}</span>{}",
        text.empty() ? "none seen" : text, small_height(page, sag),
        page.length({"pipe_runs", run, "smallest_sag_width_m"}, 0), water);
}

// Where the minimum slopes in the table come from, each once.
std::string minimum_sources(const PageData& page) {
    std::set<std::string> sources;
    for (std::size_t row = 0; row < page.layer("stretches").rows.size(); ++row) {
        const std::string source = page.text({"stretches", row, "minimum_source"});
        if (!source.empty() && !asks_for_doubt(page, row)) sources.insert(source);
    }
    if (sources.empty()) return "";
    return fmt::format("<p class=\"quiet as-given\">Slopes asked by {}.</p>",
                       escaped(fmt::format("{}", fmt::join(sources, "; "))));
}

}  // namespace

std::string runs_table(const PageData& page) {
    std::string rows;
    for (std::size_t run = 0; run < page.layer("pipe_runs").rows.size(); ++run) {
        rows += fmt::format(
            "<tr><td data-label=\"Run\"><b>{}</b><br><span class=\"why\">{}, {}</span></td>"
            "<td data-label=\"From, to\">{}</td><td data-label=\"Length\">{}</td>"
            "<td data-label=\"Depth\">{}</td><td data-label=\"Slope\">{}</td>"
            "<td data-label=\"Standing water\">{}</td></tr>",
            page.words({"pipe_runs", run, "run_id"}), page.words({"pipe_runs", run, "kind"}),
            page.words({"pipe_runs", run, "status"}), ends(page, run), length_cell(page, run),
            depth_cell(page, run), slope_cell(page, run), water_cell(page, run));
    }
    return fmt::format(
        "<section><h2>Runs</h2><p class=\"quiet as-given\">Lengths are along the pipe. In brackets "
        "and behind ±: 95 % bounds. Depths are from the ground to the invert.</p>"
        "<div class=\"wide\"><table class=\"runs stacks\"><thead><tr><th>Run</th><th>From, "
        "to</th><th>Length</th>"
        "<th>Depth</th><th>Slope</th><th>Standing water</th></tr></thead><tbody>{}</tbody></table>"
        "</div>{}</section>",
        rows, minimum_sources(page));
}

std::string records_section(const PageData& page) {
    const std::size_t claims = page.layer("records_check").rows.size();
    if (claims == 0) return "";
    std::string rows;
    for (std::size_t row = 0; row < claims; ++row) {
        rows += fmt::format(
            "<tr><td><span class=\"word {0}\">{0}</span></td><td>{1}</td><td class=\"why\">{2}, {3}"
            "</td></tr>",
            page.text({"records_check", row, "verdict"}),
            page.words({"records_check", row, "words"}),
            page.words({"records_check", row, "document"}),
            page.words({"records_check", row, "dated"}));
    }
    return fmt::format(
        "<section><h2>What the paper says</h2><div class=\"wide\"><table><thead><tr>"
        "<th>Verdict</th><th>Claim and measurement</th><th>Document</th></tr></thead>"
        "<tbody>{}</tbody></table></div></section>",
        rows);
}

std::string drops_section(const PageData& page) {
    const std::size_t all = page.layer("drops").rows.size();
    if (all == 0) return "";
    std::string text;
    for (std::size_t row = 0; row < all; ++row) {
        text += fmt::format("<p><b>{}</b>: {}</p>", page.words({"drops", row, "structure_id"}),
                            page.words({"drops", row, "words"}));
    }
    return "<section><h2>Inside the structures</h2>" + text + "</section>";
}

std::string load_test_section(const PageData& page) {
    const std::size_t all = page.layer("load_test").rows.size();
    if (all == 0) return "";
    std::string text;
    for (std::size_t row = 0; row < all; ++row) {
        const std::string port = page.words({"load_test", row, "port"});
        text += fmt::format("<p>{}{}</p>", port.empty() ? "" : "<b>" + port + "</b>: ",
                            page.words({"load_test", row, "words"}));
    }
    return "<section><h2>Load test</h2>" + text + "</section>";
}

namespace {

constexpr double m3_per_cubic_yard = 0.764554857984;  // 0.9144 m, cubed

std::string volume_cell(const PageData& page, std::size_t row) {
    const auto part = [&](std::string_view column) { return CellRef{"quantities", row, column}; };
    if (!page.number(part("trench_volume_m3"))) return "not measured";
    const bool metric = page.unit() == LengthUnit::metre;
    const double per = metric ? 1.0 : m3_per_cubic_yard;
    const double half = (page.number(part("trench_volume_hi95_m3")).value_or(0.0) -
                         page.number(part("trench_volume_lo95_m3")).value_or(0.0)) /
                        2.0 / per;
    const int decimals = decimals_for_bounds(half);
    return fmt::format("{} {}<br><span class=\"quiet bounds\">({} to {})</span>",
                       page.figure(part("trench_volume_m3"), decimals, per), metric ? "m³" : "yd³",
                       page.lower_bound(part("trench_volume_lo95_m3"), decimals, per),
                       page.upper_bound(part("trench_volume_hi95_m3"), decimals, per));
}

// The mean depth with its bounds, the band it is priced in, and those it may be in.
std::string priced_depth(const PageData& page, std::size_t row) {
    std::string band = page.words({"quantities", row, "depth_band"});
    if (!page.number({"quantities", row, "depth_m"})) return band;
    const std::string others = page.words({"quantities", row, "other_bands"});
    return fmt::format("{}{}<br>{}", band, others.empty() ? "" : ", or " + others,
                       page.bounded_length("quantities", row, "depth"));
}

// A stretch shows the decimals of its run, so that the rows add up on paper too.
int decimals_of_run(const PageData& page, const std::string& id) {
    for (std::size_t run = 0; run < page.layer("pipe_runs").rows.size(); ++run) {
        if (page.text({"pipe_runs", run, "run_id"}) == id) {
            return page.length_decimals("pipe_runs", run, "length");
        }
    }
    return 1;
}

std::string quantity_rows(const PageData& page) {
    std::string rows;
    for (std::size_t row = 0; row < page.layer("quantities").rows.size(); ++row) {
        const auto words = [&](std::string_view column) {
            return page.words({"quantities", row, column});
        };
        const int decimals = decimals_of_run(page, page.text({"quantities", row, "run_id"}));
        const double per = metres_per(page.unit());
        rows += fmt::format(
            "<tr><td data-label=\"Run\"><b>{}</b></td><td data-label=\"Stretch\">{} to {}</td>"
            "<td class=\"num\" data-label=\"Length\">{} {}<br><span class=\"quiet\">({} to {})"
            "</span></td><td data-label=\"Depth\">{}</td>"
            "<td class=\"num\" data-label=\"Digging\">{}</td>"
            "<td data-label=\"Condition\">{}</td></tr>",
            words("run_id"), words("from_id"), words("to_id"),
            page.figure({"quantities", row, "length_job"}, decimals), unit_symbol(page.unit()),
            page.lower_bound({"quantities", row, "length_lo95_m"}, decimals, per),
            page.upper_bound({"quantities", row, "length_hi95_m"}, decimals, per),
            priced_depth(page, row), volume_cell(page, row), words("condition"));
    }
    return rows;
}

std::string replacements_list(const PageData& page) {
    std::string items;
    for (std::size_t row = 0; row < page.layer("replacements").rows.size(); ++row) {
        const bool deep = page.number({"replacements", row, "depth_m"}).has_value();
        items += fmt::format(
            "<li>Run {}, from {} to {}: {}, {}. Why: {}.</li>",
            page.words({"replacements", row, "run_id"}),
            page.length({"replacements", row, "from_m"}, 1),
            page.length({"replacements", row, "to_m"}, 1),
            page.bounded_length("replacements", row, "length"),
            deep ? "at most " + page.bounded_length("replacements", row, "depth") + " deep"
                 : "depth not measured",
            page.words({"replacements", row, "why"}));
    }
    if (items.empty()) return "";
    return fmt::format(
        "<h3>If the stretches with a defect were replaced</h3><p class=\"quiet as-given\">{} "
        "beyond "
        "the defect at either end. Whether to replace is for the licensed designer and the health "
        "department to say.</p><ul>{}</ul>",
        page.unit() == LengthUnit::metre ? "Half a metre" : "20 in (half a metre)", items);
}

// What a sum over the table leaves out.
std::string runs_without_price(const PageData& page) {
    std::vector<std::string> runs;
    for (std::size_t run = 0; run < page.layer("pipe_runs").rows.size(); ++run) {
        if (page.number({"pipe_runs", run, "length_m"})) continue;
        runs.push_back(page.words({"pipe_runs", run, "run_id"}));
    }
    if (runs.empty()) return "";
    return fmt::format("<p>Without a length, and so in no row and no sum: {}.</p>",
                       fmt::join(runs, ", "));
}

}  // namespace

std::string quantities_section(const PageData& page) {
    if (page.layer("quantities").rows.empty()) return "";
    return fmt::format(
        "<section><h2>To price from</h2><p class=\"quiet as-given\">The rows of a run add up to "
        "its "
        "length. Digging: to the invert, width {}, sides {}; bands by {}.</p>"
        "<div class=\"wide\"><table class=\"stacks\"><thead><tr><th>Run</th><th>Stretch</th><th "
        "class=\"num\">Length"
        "</th><th>Depth</th><th class=\"num\">Digging</th><th>Condition</th></tr></thead>"
        "<tbody>{}</tbody></table></div>{}{}</section>",
        length_words(page.as_built().appraisal.quantities.front().trench_width_m, page.unit(), 2),
        page.as_built().appraisal.quantities.front().side_slope == 0.0
            ? "vertical"
            : fmt::format("{:g} to 1", page.as_built().appraisal.quantities.front().side_slope),
        escaped(page.as_built().appraisal.depth_band_source), quantity_rows(page),
        runs_without_price(page), replacements_list(page));
}

}  // namespace sondeline
