#include "footage/water/water_reaches.hpp"

#include <algorithm>
#include <array>

#include "terms/quantile.hpp"

namespace sondeline {
namespace {

// Looks further apart than on any clip that the shares were measured on.
constexpr double kWidestGap_m = 0.25;
constexpr double kSamePlace_m = 0.02;  // as while the head stands
// Pictures are judged over as much of the pipe as the clips show that the bars were set on.
constexpr double kPiece_m = 2.0;
constexpr std::size_t kFewestLooks = 8;

// The bars of a plain picture, and how deep water is then noticed 9 times in 10: found or left
// open. Chosen on the clips of the tuning half of `water_evidence`, see docs/standing-water.md.
constexpr double kMostMarks = 0.13;  // median, see WaterLook::marks
constexpr double kLeastPipe = 0.9;   // of the looks, in which the pipe is seen
constexpr double kSureShare = 0.10;

bool plain(std::span<const PlacedLook* const> looks) {
    std::vector<double> marks;
    for (const PlacedLook* one : looks) {
        if (one->look.pipe) marks.push_back(one->look.marks);
    }
    return marks.size() >= kFewestLooks &&
           static_cast<double>(marks.size()) >= kLeastPipe * static_cast<double>(looks.size()) &&
           quantile(marks, 0.5) < kMostMarks;
}

// By rising place; those of one direction at one place are one.
std::vector<const PlacedLook*> by_place(std::span<const PlacedLook> looks) {
    std::vector<const PlacedLook*> sorted;
    for (const PlacedLook& look : looks) {
        if (look.placed) sorted.push_back(&look);
    }
    std::ranges::stable_sort(sorted, {}, &PlacedLook::x_m);
    std::array<const PlacedLook*, 2> last{};
    std::erase_if(sorted, [&](const PlacedLook* look) {
        const PlacedLook*& before = last[look->retrieving ? 1 : 0];
        if (before != nullptr && look->x_m - before->x_m < kSamePlace_m) return true;
        before = look;
        return false;
    });
    return sorted;
}

// Ends of the pieces: indices one past the last place of each.
std::vector<std::size_t> piece_ends(std::span<const PlacedLook* const> places) {
    std::vector<std::size_t> ends;
    if (places.empty()) return ends;
    double from_m = places.front()->x_m;
    for (std::size_t i = 0; i < places.size(); ++i) {
        if (places[i]->x_m - from_m < kPiece_m) continue;
        ends.push_back(i);
        from_m = places[i]->x_m;
    }
    // What is left over is judged with the last whole piece.
    if (ends.empty()) return {places.size()};
    if (places.back()->x_m - from_m < 0.5 * kPiece_m) ends.pop_back();
    ends.push_back(places.size());
    return ends;
}

// Shores were followed here, and nothing was claimed of them.
bool left_open(const PlacedLook& look, double counter, std::span<const WaterStretch> claimed) {
    return look.state == WaterState::water &&
           std::ranges::none_of(claimed, [&](const WaterStretch& stretch) {
               return counter >= stretch.from && counter <= stretch.to;
           });
}

void add(const WaterReach& reach, std::vector<WaterReach>& reaches) {
    WaterReach* last = reaches.empty() ? nullptr : &reaches.back();
    if (last != nullptr && last->to == reach.from && last->sure_share == reach.sure_share &&
        last->left_open == reach.left_open) {
        last->to = reach.to;
    } else {
        reaches.push_back(reach);
    }
}

}  // namespace

std::vector<WaterReach> water_reaches(std::span<const PlacedLook> looks, const LensPlace& lens,
                                      double metres_per_count,
                                      std::span<const WaterStretch> claimed) {
    const auto places = by_place(looks);
    std::vector<WaterReach> reaches;
    const PlacedLook* before = nullptr;
    bool open_before = false;
    std::size_t first = 0;
    for (const std::size_t end : piece_ends(places)) {
        const bool sure = lens.told() && plain(std::span(places).subspan(first, end - first));
        for (; first < end; ++first) {
            const PlacedLook* look = places[first];
            if (!look->look.pipe) continue;
            const double to = look->x_m / metres_per_count;
            const bool open = left_open(*look, to, claimed);
            if (before != nullptr && look->x_m - before->x_m <= kWidestGap_m) {
                add({before->x_m / metres_per_count, to,
                     sure ? std::optional(kSureShare) : std::nullopt, open || open_before},
                    reaches);
            }
            before = look;
            open_before = open;
        }
    }
    return reaches;
}

}  // namespace sondeline
