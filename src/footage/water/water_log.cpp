#include "footage/water/water_log.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "footage/track_findings.hpp"
#include "footage/water/placed_looks.hpp"
#include "footage/water/water_odds.hpp"
#include "footage/water/water_reaches.hpp"
#include "footage/water/water_runs.hpp"

namespace sondeline {
namespace {

// What depths were off by where they could be held against the truth: nine tenths of the deepest
// ones within 0.075 of the diameter (rendered footage, docs/standing-water.md); a quarter more, as
// there were few of them.
constexpr double kDepthShareSd = 0.057;

struct BothWays {
    std::vector<PlacedLook> pushing;  // by rising place
    std::vector<PlacedLook> retrieving;
};

BothWays by_direction(const std::vector<PlacedLook>& looks) {
    BothWays ways;
    for (const PlacedLook& look : looks) {
        if (look.placed) (look.retrieving ? ways.retrieving : ways.pushing).push_back(look);
    }
    for (auto* way : {&ways.pushing, &ways.retrieving}) {
        std::ranges::stable_sort(*way, {}, &PlacedLook::x_m);
    }
    return ways;
}

bool overlap(const WaterRun& a, const WaterRun& b) {
    return a.from.x_m < b.to.x_m && b.from.x_m < a.to.x_m;
}

// Whether looks in the other direction say that a run is dry, where its shores could not have been
// missed: near a look that shows them, well below the lens.
bool denied(const WaterRun& run, const std::vector<PlacedLook>& others) {
    constexpr double kMiddle = 0.25;  // of the length left out at either end
    constexpr double kBeside_m = 0.15;
    constexpr double kPlain = 0.22;  // share
    constexpr int kFewest = 3;
    const double inset_m = kMiddle * (run.to.x_m - run.from.x_m);
    int dry = 0;
    int other = 0;
    for (const PlacedLook& look : others) {
        if (look.x_m < run.from.x_m + inset_m || look.x_m > run.to.x_m - inset_m) continue;
        other += look.state == WaterState::water ? 1 : 0;
        if (look.state != WaterState::dry) continue;
        const bool plain = std::ranges::any_of(run.looks, [&](const PlacedLook& seen) {
            return std::abs(seen.x_m - look.x_m) < kBeside_m && seen.share < kPlain;
        });
        dry += plain ? 1 : 0;
    }
    return dry >= kFewest && dry > 2 * other;
}

// Whether pushing and drawing back show one water unlike deep: depths that are told were off by
// less, for the most part, and at least one of the two is off.
bool unlike_deep(const WaterRun& a, const WaterRun& b) {
    constexpr double kUnlike = 0.065;  // of the diameter
    return std::abs(a.deepest - b.deepest) > kUnlike;
}

// The surer of two sightings of one end: the one with the tighter bound, seen before unseen.
WaterEndSeen surer(const WaterEndSeen& a, const WaterEndSeen& b) {
    if (a.seen != b.seen) return a.seen ? a : b;
    return a.bound_m <= b.bound_m ? a : b;
}

class Judge {
  public:
    Judge(Track& track, double metres_per_count, const LensPlace& lens)
        : track_(track), metres_per_count_(metres_per_count), lens_(lens) {}

    void settle(const std::vector<WaterRun>& runs, const std::vector<PlacedLook>& others,
                const std::vector<WaterRun>& seen_too, bool retrieving) {
        for (const WaterRun& run : runs) {
            if (!may_stand(run.shape)) {
                if (run.odds >= odds_to_claim) tell_even(run);
                continue;
            }
            const WaterRun* too = nullptr;
            double odds = run.odds * static_cast<double>(run.looks.size());
            auto looks = static_cast<double>(run.looks.size());
            bool even_there = false;
            for (const WaterRun& other : seen_too) {
                if (!overlap(run, other)) continue;
                odds += other.odds * static_cast<double>(other.looks.size());
                looks += static_cast<double>(other.looks.size());
                // A few looks may all have fallen on one depth.
                constexpr std::size_t kFewestEven = 6;
                const bool shaped = may_stand(other.shape);
                even_there = even_there || (!shaped && other.looks.size() >= kFewestEven);
                if (shaped && other.odds > 0.0 && too == nullptr) too = &other;
            }
            odds /= looks;
            if (odds < odds_to_claim) {
                if (run.odds >= odds_to_claim) tell_disagreement(run, retrieving);
                continue;
            }
            if (too == nullptr && (even_there || denied(run, others))) {
                tell_disagreement(run, retrieving);
                continue;
            }
            if (std::ranges::any_of(track_.water->stretches, [&](const WaterStretch& stretch) {
                    return stretch.from < counter(run.to.x_m) && counter(run.from.x_m) < stretch.to;
                })) {
                continue;  // told from the other direction
            }
            add(run, too, retrieving);
        }
    }

  private:
    double counter(double x_m) const { return x_m / metres_per_count_; }

    std::string place(const WaterRun& run) const {
        const int decimals = track_.format->decimals;
        return fmt::format("counter {:.{}f} to {:.{}f}", counter(run.from.x_m), decimals,
                           counter(run.to.x_m), decimals);
    }

    void add(const WaterRun& run, const WaterRun* too, bool retrieving) {
        WaterStretch stretch;
        const WaterEndSeen from = too == nullptr ? run.from : surer(run.from, too->from);
        const WaterEndSeen to = too == nullptr ? run.to : surer(run.to, too->to);
        stretch.from = counter(from.x_m);
        stretch.to = counter(to.x_m);
        stretch.from_bound = counter(from.bound_m);
        stretch.to_bound = counter(to.bound_m);
        stretch.from_seen = from.seen;
        stretch.to_seen = to.seen;
        stretch.deepest_unseen = run.deepest_unseen || (too != nullptr && too->deepest_unseen);
        stretch.pushing = !retrieving || too != nullptr;
        stretch.retrieving = retrieving || too != nullptr;
        stretch.deepest_s = run.deepest_s;
        if (too == nullptr) tell_one_way(run, retrieving);
        if (!lens_.told()) {
            stretch.deepest_unseen = true;
            tell_lens_unknown(run);
        } else {
            add_depths(run, stretch);
            if (!stretch.deepest_unseen && too != nullptr && unlike_deep(run, *too)) {
                stretch.deepest_unseen = true;
                tell_unlike(run, *too);
            }
        }
        track_.water->stretches.push_back(std::move(stretch));
    }

    void add_depths(const WaterRun& run, WaterStretch& stretch) const {
        for (const PlacedLook& look : run.looks) {
            const double sd =
                std::hypot(kDepthShareSd, share_of(look.look.shores->half_rad, lens_.height).sd);
            stretch.depths.push_back({counter(look.x_m), {look.share, sd}});
        }
    }

    void tell_lens_unknown(const WaterRun& run) {
        track_.findings.push_back(clip_finding(
            track_, Severity::info,
            fmt::format("How high the camera rides above the invert could not be seen, so how deep "
                        "the water from {} is was not told.",
                        place(run)),
            "Measure it with a stick from the nearest lid; or push again slowly, so that marks and "
            "joints of the wall are seen to pass.",
            run.deepest_s));
    }

    void tell_unlike(const WaterRun& run, const WaterRun& too) {
        track_.findings.push_back(clip_finding(
            track_, Severity::info,
            fmt::format("The water from {} looks {:.0f} % of the inside diameter deep one way and "
                        "{:.0f} % the other, so its deepest depth was not told.",
                        place(run), 100.0 * run.deepest, 100.0 * too.deepest),
            "Measure it with a stick from the nearest lid; or push again slowly.", run.deepest_s));
    }

    void tell_one_way(const WaterRun& run, bool retrieving) {
        track_.findings.push_back(clip_finding(
            track_, Severity::info,
            fmt::format("What looks like standing water from {} was seen while the head was {} "
                        "only; it is kept with the readings, but not taken into the profile.",
                        place(run), retrieving ? "drawn back" : "pushed in"),
            "Look here; keep recording while the head is drawn back, slowly.", run.deepest_s));
    }

    void tell_even(const WaterRun& run) {
        track_.findings.push_back(clip_finding(
            track_, Severity::info,
            fmt::format("Water lies along the invert from {} at an even depth: the footage does "
                        "not tell whether it runs or stands.",
                        place(run)),
            "Look here; stop the flow and look again to see whether water stays.", run.deepest_s));
    }

    void tell_disagreement(const WaterRun& run, bool retrieving) {
        track_.findings.push_back(clip_finding(
            track_, Severity::caution,
            fmt::format("What may be standing water from {} was seen while the head was {} only; "
                        "the other way it does not look so. Nothing was claimed.",
                        place(run), retrieving ? "drawn back" : "pushed in"),
            "Look here and judge by eye.", run.deepest_s));
    }

    Track& track_;
    double metres_per_count_;
    LensPlace lens_;
};

}  // namespace

void keep_water(std::span<const WaterLook> looks, Track& track) {
    track.water.reset();
    if (!track.format || looks.empty()) return;
    const double metres = metres_per_count(track.format->unit, LengthUnit::foot);
    const LensPlace lens = place_of_lens(looks);
    const JoinedTrack joined = continuous(track);
    const auto placed = place_looks(looks, joined, metres, lens);
    track.water.emplace();
    track.water->lens_height = lens.height;
    for (const PlacedLook& one : placed) {
        WaterSample sample{one.look.time_s, one.state, 0.0, {}};
        if (one.look.shores) sample.down_rad = one.look.shores->down_rad;
        if (one.state == WaterState::water && lens.told()) sample.share = one.share;
        track.water->samples.push_back(sample);
    }
    if (!passes_with_counter(looks, joined)) return;
    const BothWays ways = by_direction(placed);
    const auto pushing = water_runs(ways.pushing);
    const auto retrieving = water_runs(ways.retrieving);
    Judge judge(track, metres, lens);
    judge.settle(pushing, ways.retrieving, retrieving, false);
    judge.settle(retrieving, ways.pushing, pushing, true);
    std::ranges::stable_sort(track.water->stretches, {}, &WaterStretch::from);
    track.water->reaches = water_reaches(placed, lens, metres, track.water->stretches);
}

}  // namespace sondeline
