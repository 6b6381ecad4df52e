#include "intake/position_quality.hpp"

#include <algorithm>
#include <numbers>

namespace sondeline {

SolutionKind solution_of_gga(int quality) {
    switch (quality) {
        case 1:
        case 3: return SolutionKind::alone;
        case 2: return SolutionKind::differential;
        case 4: return SolutionKind::fixed;
        case 5: return SolutionKind::floating;
        default: return SolutionKind::none;
    }
}

std::optional<SolutionKind> solution_of_gpx(std::string_view word) {
    if (word == "none") return SolutionKind::none;
    if (word == "2d" || word == "3d" || word == "pps") return SolutionKind::alone;
    if (word == "dgps") return SolutionKind::differential;
    return std::nullopt;
}

std::optional<double> sd_of_solution_m(SolutionKind kind, std::optional<double> hdop) {
    constexpr double usual_hdop = 1.5;
    constexpr double least_hdop = 0.5;  // a smaller one is a receiver that does not fill it in
    const double dilution = hdop ? std::max(*hdop, least_hdop) : usual_hdop;
    const auto sd = [&](double range_m) { return range_m * dilution / std::numbers::sqrt2; };
    switch (kind) {
        case SolutionKind::alone: return sd(4.0);
        case SolutionKind::differential: return sd(1.2);
        case SolutionKind::floating: return sd(0.5);
        case SolutionKind::fixed: return sd(0.02);
        case SolutionKind::none: break;
    }
    return std::nullopt;
}

MaybeCell<double> stated_h_accuracy_m(const RowReader& row, const TableRow& cells) {
    if (row.has("h accuracy")) return row.accuracy_m("h accuracy");
    const auto text = [&](const char* name) {
        const auto found = cells.attributes.find(name);
        return found == cells.attributes.end() ? std::string() : found->second;
    };
    const auto kind = solution_of_gpx(text("fix"));
    const auto hdop = parse_number(text("hdop"), false);
    if (!kind && !hdop) return std::nullopt;
    const auto sd_m = sd_of_solution_m(kind.value_or(SolutionKind::alone), hdop);
    if (!sd_m) return std::nullopt;
    if (row.log().first_time(cells.source, "accuracy by fix and hdop")) {
        row.log().info(cells.source,
                       "The accuracy of the positions was taken from what the receiver says of "
                       "them (fix and hdop).",
                       "Give h accuracy where it is known better.");
    }
    return Cell<double>{*sd_m, cells.source};
}

}  // namespace sondeline
