#include <algorithm>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "deliverables/layers.hpp"
#include "deliverables/placing.hpp"

namespace sondeline {

namespace {

std::vector<Column> columns() {
    using enum ColumnType;
    return {{"run_id", text, "Run"},
            {"from_m", real, "Station where water would begin to stand, m"},
            {"from_lo95_m", real, "Lower 95 % bound of from_m, m"},
            {"from_hi95_m", real, "Upper 95 % bound of from_m, m"},
            {"to_m", real, "Station where it would end, m"},
            {"to_lo95_m", real, "Lower 95 % bound of to_m, m"},
            {"to_hi95_m", real, "Upper 95 % bound of to_m, m; the end of the run: nobody saw it"},
            {"length_m", real, "Length of the standing water, m"},
            {"length_lo95_m", real, "Lower 95 % bound of length_m, m"},
            {"length_hi95_m", real, "Upper 95 % bound of length_m, m"},
            {"depth_m", real, "Deepest water, m; empty: not measured"},
            {"depth_lo95_m", real, "Lower 95 % bound of depth_m, m"},
            {"depth_hi95_m", real, "Upper 95 % bound of depth_m, m"},
            {"depth_pct", real, "Deepest water as a share of the diameter, percent"},
            {"volume_l", real, "Standing water, litres"},
            {"volume_lo95_l", real, "Lower 95 % bound of volume_l, litres"},
            {"volume_hi95_l", real, "Upper 95 % bound of volume_l, litres"},
            {"probability", real, "Probability by the measured profile; empty: it cannot tell"},
            {"probability_withheld", text, "Why the profile cannot tell, and what would settle it"},
            {"evidence", text, "Which witnesses saw it: profile, footage, note"},
            {"words", text, "What each witness says"}};
}

std::string evidence_words(const std::vector<Witness>& witnesses) {
    std::vector<std::string_view> words;
    words.reserve(witnesses.size());
    for (const Witness witness : witnesses) words.push_back(word(witness));
    return fmt::format("{}", fmt::join(words, ", "));
}

void append_bounded(std::vector<CellValue>& cells, const std::optional<Bounded>& bounded,
                    int decimals) {
    if (!bounded) {
        cells.resize(cells.size() + 3);
        return;
    }
    for (const double value : {bounded->value, bounded->lo95, bounded->hi95}) {
        cells.push_back(real_cell(value, decimals));
    }
}

LayerRow belly_row(const AsBuilt& as_built, std::size_t run, const Belly& belly) {
    const auto diameter_m = as_built.lines.runs[run].run.diameter_m;
    LayerRow row;
    const auto exactly = [](double at_m) { return Bounded{at_m, at_m, at_m}; };
    row.cells = {text_cell(as_built.lines.runs[run].run.id.text)};
    append_bounded(row.cells, belly.from_bounds_m.value_or(exactly(belly.from_m)), 4);
    append_bounded(row.cells, belly.to_bounds_m.value_or(exactly(belly.to_m)), 4);
    append_bounded(row.cells, belly.length_m(), 4);
    append_bounded(row.cells, belly.depth_m, 4);
    row.cells.push_back(
        belly.depth_m && diameter_m
            ? real_cell(std::min(100.0, 100.0 * belly.depth_m->value / *diameter_m), 0)
            : CellValue{});
    append_bounded(row.cells, belly.volume_l, 2);
    row.cells.push_back(real_cell(belly.probability.value, 3));
    const Withheld& why = belly.probability.withheld;
    row.cells.push_back(belly.probability ? CellValue{}
                                          : text_cell(why.reason + " " + why.what_to_do));
    row.cells.push_back(text_cell(evidence_words(belly.evidence)));
    row.cells.push_back(text_cell(belly.words));
    row.geometry = line_between(as_built, run, belly.from_m, belly.to_m);
    return row;
}

}  // namespace

LayerTable bellies_layer(const AsBuilt& as_built) {
    LayerTable table{"bellies",
                     "Stretches that would hold water; z is the invert, m the station",
                     LayerGeometry::line_zm,
                     columns(),
                     {}};
    for (std::size_t run = 0; run < as_built.profiles.runs.size(); ++run) {
        for (const Belly& belly : as_built.profiles.runs[run].bellies) {
            table.rows.push_back(belly_row(as_built, run, belly));
        }
    }
    return table;
}

}  // namespace sondeline
