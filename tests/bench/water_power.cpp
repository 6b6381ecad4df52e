#include "bench/water_power.hpp"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

namespace sondeline::bench {

namespace {

constexpr std::array kDepths{0.05, 0.08, 0.10, 0.12, 0.15, 0.20, 0.30, 0.45};

struct Cover {
    double all_m = 0.0;
    double plain_m = 0.0;
    double plain_open_m = 0.0;
    double open_m = 0.0;
};

// What the reaches of a track cover between two stations of the lens.
Cover cover_of(const WaterClip& clip, const Track& track, double from_m, double to_m) {
    Cover cover;
    if (!track.water) return cover;
    for (const WaterReach& reach : track.water->reaches) {
        const auto station_m = [&](double counter) {
            return (counter - clip.counter_at_start) * clip.counter_unit_m;
        };
        const double shared_m =
            std::min(to_m, station_m(reach.to)) - std::max(from_m, station_m(reach.from));
        if (shared_m <= 0.0) continue;
        cover.all_m += shared_m;
        if (reach.sure_share) cover.plain_m += shared_m;
        if (reach.left_open) cover.open_m += shared_m;
        if (reach.sure_share && reach.left_open) cover.plain_open_m += shared_m;
    }
    return cover;
}

}  // namespace

void WaterPower::add(const WaterClip& clip, const Track& track, bool found) {
    if (!clip.water) {
        const Cover cover = cover_of(clip, track, -1e9, 1e9);
        looked_m_ += cover.all_m;
        plain_m_ += cover.plain_m;
        open_m_ += cover.plain_open_m;
        return;
    }
    const auto above = std::ranges::upper_bound(kDepths, clip.water->deepest_ratio);
    if (above == kDepths.begin() || above == kDepths.end()) return;
    const auto row = static_cast<std::size_t>(above - kDepths.begin()) - 1;
    const double half_m = 0.5 * (clip.water->to_m - clip.water->from_m);
    const Cover cover = cover_of(clip, track, clip.water->from_m, clip.water->to_m);
    Count& count = (cover.plain_m >= half_m ? plain_ : others_)[row];
    if (found) {
        ++count.found;
    } else if (cover.open_m >= half_m) {
        ++count.left_open;
    } else {
        ++count.passed_over;
    }
}

void WaterPower::add(const WaterPower& more) {
    for (std::size_t row = 0; row < depths; ++row) {
        for (auto [to, from] : {std::pair(&plain_[row], &more.plain_[row]),
                                std::pair(&others_[row], &more.others_[row])}) {
            to->found += from->found;
            to->left_open += from->left_open;
            to->passed_over += from->passed_over;
        }
    }
    looked_m_ += more.looked_m_;
    plain_m_ += more.plain_m_;
    open_m_ += more.open_m_;
}

void WaterPower::print() const {
    fmt::print("deepest water over the diameter: found / left open / passed over\n");
    const auto words = [](const Count& count) {
        return fmt::format("{:3} / {:2} / {:2}", count.found, count.left_open, count.passed_over);
    };
    for (std::size_t row = 0; row < depths; ++row) {
        fmt::print("  {:.2f} to {:.2f}: plain footage {}, other {}\n", kDepths[row],
                   kDepths[row + 1], words(plain_[row]), words(others_[row]));
    }
    fmt::print(
        "  dry clips: {:.1f} m looked along, {:.1f} m of them plain, {:.1f} m of these left open\n",
        looked_m_, plain_m_, open_m_);
}

}  // namespace sondeline::bench
