#include "deliverables/page/plan_labels.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "deliverables/page/html_text.hpp"
#include "terms/outward.hpp"

namespace sondeline {

namespace {

constexpr double name_px = 13.0;
constexpr double small_px = 12.0;
constexpr double narrowest_roomy_px = 500.0;  // else bounds and slopes stand in the table alone
// Of a name on the drawing; the tables give it whole.
constexpr std::size_t most_letters = 24;
constexpr std::size_t most_narrow = 16;

struct Spot {
    double x_px = 0.0;
    double y_px = 0.0;
};

LabelBox around(Spot spot, double half_px) {
    return {spot.x_px - half_px, spot.y_px - half_px, spot.x_px + half_px, spot.y_px + half_px};
}

// Places around a spot for a text of this width: right, left, above, below, then the corners, near
// first.
std::vector<LabelBox> places_around(Spot spot, std::string_view text, double size_px) {
    const LabelBox line = text_box(0.0, 0.0, text, size_px);
    const double wide = line.right_px;
    const double high = line.bottom_px - line.top_px;
    std::vector<LabelBox> boxes;
    for (const double away : {13.0, 20.0, 31.0, 46.0, 66.0}) {
        for (const auto& [dx, dy] :
             {std::pair{1, 0}, std::pair{-1, 0}, std::pair{0, -1}, std::pair{0, 1},
              std::pair{1, -1}, std::pair{1, 1}, std::pair{-1, -1}, std::pair{-1, 1}}) {
            const double left = spot.x_px + dx * away + (dx < 0 ? -wide : dx == 0 ? -wide / 2 : 0);
            const double top = spot.y_px + dy * away + (dy < 0 ? -high : dy == 0 ? -high / 2 : 0);
            boxes.push_back({left, top, left + wide, top + high});
        }
    }
    return boxes;
}

Spot baseline_of(const LabelBox& box, double size_px) {
    return {box.left_px, box.top_px + 0.85 * size_px};
}

// From the spot to the nearest edge of its label, when that is far.
std::string leader(Spot spot, const LabelBox& box) {
    const double x = std::clamp(spot.x_px, box.left_px, box.right_px);
    const double y = std::clamp(spot.y_px, box.top_px, box.bottom_px);
    if (std::hypot(x - spot.x_px, y - spot.y_px) < 20.0) return "";
    return fmt::format("<path class=\"leader\" d=\"M{} {} L{} {}\"/>", px(spot.x_px), px(spot.y_px),
                       px(x), px(y));
}

std::string text_at(const LabelBox& box, double size_px, const char* look,
                    const std::string& markup) {
    const Spot at = baseline_of(box, size_px);
    return fmt::format("<text class=\"{}\" x=\"{}\" y=\"{}\">{}</text>", look, px(at.x_px),
                       px(at.y_px), markup);
}

struct RunWords {
    std::string plain;   // for its width
    std::string markup;  // with its figures marked
};

RunWords run_words(const PageData& page, std::size_t run, bool roomy) {
    const std::string id =
        shortened(page.text({"pipe_runs", run, "run_id"}), roomy ? most_letters : most_narrow);
    RunWords words{id, escaped(id)};
    const CellRef length{"pipe_runs", run, "length_m"};
    const CellRef slope{"pipe_runs", run, "slope_pct"};
    if (const auto length_m = page.number(length)) {
        const int decimals = page.length_decimals("pipe_runs", run, "length");
        words.plain += "  " + length_words(*length_m, page.unit(), decimals);
        words.markup += "  " + page.length(length, decimals, Markup::svg);
        const CellRef low{"pipe_runs", run, "length_lo95_m"};
        const CellRef high{"pipe_runs", run, "length_hi95_m"};
        const auto low_m = page.number(low);
        const auto high_m = page.number(high);
        if (low_m && high_m && roomy) {
            const double per = metres_per(page.unit());
            words.plain +=
                fmt::format(" ({:.{}f} to {:.{}f})", rounded_down(*low_m / per, decimals), decimals,
                            rounded_up(*high_m / per, decimals), decimals);
            words.markup += " (" + page.lower_bound(low, decimals, per, Markup::svg) + " to " +
                            page.upper_bound(high, decimals, per, Markup::svg) + ")";
        }
    }
    if (const auto slope_pct = page.number(slope); slope_pct && roomy) {
        const CellRef spread{"pipe_runs", run, "slope_sd_pct"};
        words.plain += fmt::format(", {:.2f} ± {:.2f} %", *slope_pct,
                                   page.number(spread).value_or(0.0) * normal_95);
        words.markup += ", " + page.figure(slope, 2, 1.0, Markup::svg) + " ± " +
                        page.figure(spread, 2, 1.0 / normal_95, Markup::svg) + " %";
    }
    return words;
}

// Spots along the middle of a run, the very middle first.
std::vector<Spot> spots_along(const AlignedRun& run, const PlanView& view) {
    std::vector<Spot> spots;
    const auto last = static_cast<double>(run.points.size() - 1);
    for (const double share : {0.5, 0.4, 0.6, 0.3, 0.7, 0.85, 0.2}) {
        const PlanPoint at = run.points[static_cast<std::size_t>(share * last)].at;
        spots.push_back({view.x(at), view.y(at)});
    }
    return spots;
}

}  // namespace

LabelSpace plan_space(const AsBuilt& as_built, const PlanView& view) {
    LabelSpace space(view.width_px, view.height_px);
    for (const AlignedRun& run : as_built.lines.runs) {
        for (std::size_t i = 1; i < run.points.size(); ++i) {
            space.take_line(view.x(run.points[i - 1].at), view.y(run.points[i - 1].at),
                            view.x(run.points[i].at), view.y(run.points[i].at), 4.0);
        }
    }
    for (const AlignedStructure& structure : as_built.lines.structures) {
        if (!structure.plan) continue;
        space.take(around({view.x(structure.plan->at), view.y(structure.plan->at)}, 7.0));
    }
    for (const SiteFix& fix : as_built.site.fixes) {
        if (!fix.position) continue;
        space.take(around({view.x(fix.position->at), view.y(fix.position->at)}, 6.0));
    }
    // The north arrow and the scale bar.
    space.take({view.width_px - 70.0, 0.0, view.width_px, 76.0});
    space.take({0.0, view.height_px - 42.0, 260.0, view.height_px});
    return space;
}

std::string run_labels(const PageData& page, const PlanView& view, LabelSpace& space) {
    std::string labels;
    const auto& runs = page.as_built().lines.runs;
    for (std::size_t i = 0; i < runs.size(); ++i) {
        if (runs[i].points.size() < 2) continue;
        const RunWords words = run_words(page, i, view.width_px > narrowest_roomy_px);
        std::vector<LabelBox> boxes;
        std::vector<Spot> of_box;
        for (const Spot& spot : spots_along(runs[i], view)) {
            for (const LabelBox& box : places_around(spot, words.plain, name_px)) {
                boxes.push_back(box);
                of_box.push_back(spot);
            }
        }
        const std::size_t best = space.place(boxes);
        labels += leader(of_box[best], boxes[best]) +
                  text_at(boxes[best], name_px, "run-name", words.markup);
    }
    return labels;
}

std::string mark_labels(const PageData& page, const PlanView& view, LabelSpace& space) {
    std::string labels;
    const auto name = [&](PlanPoint at, const std::string& text, const char* look) {
        const Spot spot{view.x(at), view.y(at)};
        const std::string shown =
            shortened(text, view.width_px > narrowest_roomy_px ? most_letters : most_narrow);
        const std::vector<LabelBox> boxes = places_around(spot, shown, small_px);
        const LabelBox& box = boxes[space.place(boxes)];
        labels += leader(spot, box) + text_at(box, small_px, look, escaped(shown));
    };
    const AsBuilt& as_built = page.as_built();
    for (const AlignedStructure& structure : as_built.lines.structures) {
        if (structure.plan) name(structure.plan->at, structure.id.text, "structure-name");
    }
    for (std::size_t i = 0; i < as_built.site.fixes.size(); ++i) {
        const SiteFix& fix = as_built.site.fixes[i];
        if (!fix.position || as_built.lines.fixes[i].use == FixUse::used) continue;
        name(fix.position->at, fix.id + " set aside", "small");
    }
    return labels;
}

}  // namespace sondeline
