#include "alignment/plan_per_pipe.hpp"

#include <cmath>

#include "terms/quantile.hpp"

namespace sondeline::alignment {

namespace {

bool is_taped(const VerticalObservation& row) {
    return row.kind == VerticalKind::taped_start || row.kind == VerticalKind::taped_end;
}

double invert_m(const VerticalObservation& row) {
    return row.ground_m->value - row.depth_m.value;
}

// Depths in another unit, or of another pipe, turn the grade between them; an invert taped at an
// end then lies far from the depth beside it, further than a locator errs at the depth of a drain
// (common practice, no source).
bool tapes_deny_depths(const SiteRun& run) {
    constexpr double near_m = 3.0;
    constexpr double apart_m = 0.8;
    for (const VerticalObservation& tape : run.vertical) {
        if (!is_taped(tape) || !tape.ground_m) continue;
        const VerticalObservation* nearest = nullptr;
        const auto away_m = [&](const VerticalObservation& row) {
            return std::abs(row.x_m - tape.x_m);
        };
        for (const VerticalObservation& row : run.vertical) {
            if (!is_depth(row.kind) || is_taped(row) || !row.ground_m) continue;
            if (nearest == nullptr || away_m(row) < away_m(*nearest)) nearest = &row;
        }
        if (nearest == nullptr || away_m(*nearest) > near_m) continue;
        const double off_m = std::abs(invert_m(*nearest) - invert_m(tape));
        if (off_m > apart_m + away_m(*nearest)) return true;
    }
    return false;
}

}  // namespace

double plan_per_pipe(const SiteRun& run) {
    constexpr double plainly_steep = 0.05;
    constexpr double steepest = 0.7;
    constexpr double apart_m = 1.0;
    constexpr double deepest_m = 6.0;  // that a transmitter is located at (common practice)
    constexpr std::size_t most_rows = 200;
    std::vector<std::pair<double, double>> inverts;  // station and height
    std::size_t too_deep = 0;
    for (const VerticalObservation& row : run.vertical) {
        if (!row.ground_m || !is_depth(row.kind)) continue;
        if (row.depth_m.value > deepest_m) {
            ++too_deep;
        } else {
            inverts.emplace_back(row.x_m, invert_m(row));
        }
    }
    // Where most cannot be depths, the others are the least of them and fall as they do.
    if (inverts.size() < 3 || too_deep >= inverts.size() || tapes_deny_depths(run)) return 1.0;
    const std::size_t stride = (inverts.size() + most_rows - 1) / most_rows;
    std::vector<double> grades;
    for (std::size_t i = 0; i < inverts.size(); i += stride) {
        for (std::size_t j = 0; j < i; j += stride) {
            const double along_m = inverts[i].first - inverts[j].first;
            if (!(std::abs(along_m) >= apart_m)) continue;
            const double fall = (inverts[i].second - inverts[j].second) / along_m;
            if (std::isfinite(fall)) grades.push_back(fall);
        }
    }
    if (grades.size() < 3) return 1.0;
    const double grade = std::abs(quantile(std::move(grades), 0.5));
    if (!(grade > plainly_steep) || grade > steepest) return 1.0;
    return std::sqrt(1.0 - grade * grade);
}

}  // namespace sondeline::alignment
