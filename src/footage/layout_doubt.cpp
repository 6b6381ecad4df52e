#include "footage/layout_doubt.hpp"

#include <cstdlib>

#include <fmt/format.h>

#include "footage/first_digit.hpp"

namespace sondeline {

bool point_hardly_seen(const NumberGrid& grid) {
    constexpr double kHardlySeen = -2.0;  // mean logit
    return !grid.inches && grid.decimals > 0 && grid.point_logit < kHardlySeen;
}

bool point_looks_unlike(const NumberGrid& grid) {
    return !grid.inches && grid.decimals > 0 && grid.point_logit < 0.0;
}

bool point_well_seen(const NumberGrid& grid) {
    constexpr double kSeen = 2.0;  // mean logit
    return !grid.inches && grid.decimals > 0 && grid.point_logit >= kSeen;
}

bool has_room_of_a_point(const NumberGrid& grid) {
    constexpr double kRoom = 0.15;  // pitches
    return grid.gap_px > kRoom * grid.band.pitch_px;
}

bool point_stands_in_room(const NumberGrid& grid) {
    constexpr double kMoreThanByChance = 0.35;  // pitches; two displays left 0.17 and 0.26
    return grid.gap_px > kMoreThanByChance * grid.band.pitch_px;
}

void doubt_points_hardly_seen(std::span<Candidate> candidates, bool found_in_first) {
    for (Candidate& candidate : candidates) {
        LineStructure& structure = candidate.structure;
        const bool found = found_in_first && &candidate == &candidates.front();
        // Whatever else is in doubt: the length hangs on the point.
        structure.format.point_in_doubt = !found && point_hardly_seen(candidate.grid);
        if (!structure.doubt.empty() || !structure.format.point_in_doubt) continue;
        structure.doubt =
            "its decimal point is hardly seen, and could stand between two other digits";
    }
}

bool only_point_differs(const NumberGrid& a, const NumberGrid& b) {
    return a.decimals != b.decimals && a.inches == b.inches &&
           a.places + a.decimals == b.places + b.decimals;
}

std::string what_differs(const NumberGrid& best, const NumberGrid& other) {
    if (best.inches != other.inches) return "it may be feet and inches, or feet alone";
    if (only_point_differs(best, other)) {
        return fmt::format("the decimal point could stand {} further {}",
                           std::abs(best.decimals - other.decimals) == 1 ? "one place" : "places",
                           other.decimals > best.decimals ? "left" : "right");
    }
    if (other.places + other.decimals > best.places + best.decimals) {
        return "there could be a further digit";
    }
    return "one of the digits could belong to something else";
}

bool only_cuts_a_digit(const Candidate& shorter, const Candidate& longer) {
    return shorter.grid.decimals == longer.grid.decimals &&
           shorter.grid.inches == longer.grid.inches && shorter.grid.places < longer.grid.places &&
           longer.faults.first_digit == FirstDigit::moves && longer.faults.jumps == 0;
}

}  // namespace sondeline
