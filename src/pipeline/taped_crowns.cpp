#include "pipeline/taped_crowns.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "grade/phrases.hpp"
#include "grade/pipe_size.hpp"
#include "pipeline/taped_ends.hpp"

namespace sondeline {

namespace {

constexpr std::size_t fewest_here = 2;
constexpr std::size_t fewest_others = 2;
// In squares of standard deviations: how much better the crown explains it than the invert (set by
// crown_tapes, so that 2 rightly taped sites of 100 are named at most).
constexpr double explains_better = 5.5;
// Where the other tapes lie higher than this, in bores, they may be taped to the top as well.
constexpr double others_at_most = 0.65;
// How far from one bore it may lie, in bores: more is another slip.
constexpr double about_a_bore = 0.35;

// How much higher than all other tapes of the job those of a structure lie, if that looks like the
// crown.
std::optional<Estimate> crown_at(const std::vector<TapedEnd>& ends, int structure) {
    std::vector<TapedEnd> here;
    std::vector<TapedEnd> elsewhere;
    for (const TapedEnd& end : ends) {
        (end.structure == structure ? here : elsewhere).push_back(end);
    }
    if (here.size() < fewest_here || elsewhere.size() < fewest_others) return std::nullopt;
    const Estimate mine = mean_above_m(here);
    const Estimate others = mean_above_m(elsewhere);
    const double known = std::pow(locator_sd_m / std::hypot(locator_sd_m, others.sd), 2);
    const Estimate locator{known * others.value, std::sqrt(known) * others.sd};
    const Estimate above{mine.value - locator.value, std::hypot(mine.sd, locator.sd)};
    double bore_m = 0.0;
    for (const TapedEnd& end : here) bore_m += end.bore_m;
    bore_m /= static_cast<double>(here.size());
    if (others.value > others_at_most * bore_m) return std::nullopt;
    const double as_invert = std::pow(above.value / above.sd, 2);
    const double as_crown = std::pow((above.value - bore_m) / above.sd, 2);
    if (std::abs(above.value - bore_m) > about_a_bore * bore_m) return std::nullopt;
    if (as_invert - as_crown < explains_better) return std::nullopt;
    return above;
}

bool taped_at(const AlignedRun& run, const StationedVertical& seen, int structure) {
    return (seen.row.kind == VerticalKind::taped_start && run.run.from == structure) ||
           (seen.row.kind == VerticalKind::taped_end && run.run.to == structure);
}

std::vector<std::string> runs_taped_at(const Lines& lines, int structure) {
    std::vector<std::string> runs;
    for (const AlignedRun& run : lines.runs) {
        const bool taped = std::ranges::any_of(run.vertical, [&](const StationedVertical& seen) {
            return taped_at(run, seen, structure);
        });
        if (taped) runs.push_back(run.run.id.text);
    }
    return runs;
}

// Each tape of a structure is off by nothing or, likelier, by one bore: that is its deviation.
void reach_to_invert(int structure, Lines& lines) {
    for (AlignedRun& run : lines.runs) {
        if (!run.run.diameter_m) continue;
        const double bore_m = grade::inside_diameter_m({*run.run.diameter_m, run.run.material});
        for (StationedVertical& seen : run.vertical) {
            if (!taped_at(run, seen, structure)) continue;
            seen.row.depth_m.sd = std::max(seen.row.depth_m.sd, bore_m);
        }
    }
}

}  // namespace

void doubt_taped_crowns(LengthUnit unit, Lines& lines) {
    const std::vector<TapedEnd> ends = taped_ends(lines);
    for (std::size_t s = 0; s < lines.structures.size(); ++s) {
        const auto structure = static_cast<int>(s);
        const auto above = crown_at(ends, structure);
        if (!above) continue;
        Where where;
        where.structure = lines.structures[s].id.text;
        lines.findings.push_back(
            {Severity::caution, where,
             fmt::format("The inverts taped at {} ({}) lie {} above the depths along these pipes, "
                         "give or take {}, and those taped elsewhere do not. That is about the "
                         "inside of the pipe: they look taped to its top. The bounds of these "
                         "tapes were widened to reach its invert.",
                         where.structure, fmt::join(runs_taped_at(lines, structure), ", "),
                         grade::height_words(above->value, unit),
                         grade::height_words(normal_95 * above->sd, unit)),
             "Tape again, down to the lowest point inside each pipe, and write that in the runs "
             "table."});
        reach_to_invert(structure, lines);
    }
}

}  // namespace sondeline
