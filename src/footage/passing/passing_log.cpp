#include "footage/passing/passing_log.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "footage/passing/joints.hpp"
#include "footage/passing/lay_lengths.hpp"
#include "footage/passing/light_changes.hpp"
#include "footage/passing/turns.hpp"
#include "footage/track_findings.hpp"
#include "footage/water/placed_looks.hpp"

namespace sondeline {
namespace {

constexpr double kNear_m = 0.05;        // rings of one joint …
constexpr double kNearByPassing = 0.3;  // … and so much of what one step of depth is, in wide pipes
constexpr double kPlaceSd_m = 0.02;     // of a space between joints, besides the counter's tick
constexpr double kReelOff = 0.045;      // three times what a reel is usually off by
constexpr std::size_t kMostTold = 3;    // turns and changes of light: more are no places to look at

class Marker {
  public:
    Marker(std::span<const WaterLook> looks, const JoinedTrack& joined, Track& track)
        : looks_(looks),
          joined_(joined),
          track_(track),
          metres_(metres_per_count(track.format->unit, LengthUnit::foot)) {}

    void mark_rings(double count_by_passing) {
        std::vector<PlacedRing> rings;
        for (const WaterLook& look : looks_) {
            for (const WallRing& ring : look.rings) {
                const auto x_m = place_m(ring.time_s);
                if (x_m) rings.push_back({*x_m + metres_ * count_by_passing * ring.depth, ring});
            }
        }
        const auto joints =
            joints_of(std::move(rings), kNear_m + kNearByPassing * metres_ * count_by_passing);
        for (const Joint& joint : joints) add(PassingKind::ring, joint.x_m, joint.time_s);
        const double tick_m = track_.format->tick() * metres_;
        const auto row = joint_row_of(joints, std::hypot(kPlaceSd_m, 0.4 * tick_m));
        if (!row) return;
        track_.joint_row = JointRow{{row->spacing.value / metres_, row->spacing.sd / metres_},
                                    row->from / metres_,
                                    row->to / metres_,
                                    row->spaces};
        tell_row();
    }

    void mark_turns() {
        std::vector<PlacedCentre> centres;
        for (const WaterLook& look : looks_) {
            const auto x_m = place_m(look.time_s);
            if (!x_m || !look.vanishing) continue;
            centres.push_back({look.time_s, *x_m, look.vanishing->x, look.vanishing->y});
        }
        for (const Turn& turn : sudden_turns(centres)) {
            if (!before_change_of_light(turn.x_m)) add(PassingKind::turn, turn.x_m, turn.time_s);
        }
        tell_places(PassingKind::turn, "The picture turns suddenly", "there may be a fitting",
                    "Look here, and note the fitting if there is one.");
    }

    void mark_light() {
        std::vector<PlacedLight> lights;
        for (const WaterLook& look : looks_) {
            const auto x_m = place_m(look.time_s);
            if (x_m && look.held) lights.push_back({look.time_s, *x_m, look.light});
        }
        for (const LightChange& change : light_changes(std::move(lights))) {
            add(PassingKind::light, change.x_m, change.time_s);
        }
        tell_places(PassingKind::light, "The light changes for good",
                    "the pipe may be of another material, lined, or dirty from here on",
                    "Look here, and note what begins there.");
    }

  private:
    std::optional<double> place_m(double time_s) const {
        const auto counter = counter_at(joined_, time_s);
        if (!counter) return std::nullopt;
        return *counter * metres_;
    }

    // A darker wall comes into view from afar, and takes the far dark with it.
    bool before_change_of_light(double x_m) const {
        constexpr double kInView_m = 1.2;
        constexpr double kBehind_m = 0.3;
        return std::ranges::any_of(track_.marks, [&](const PassingMark& mark) {
            const double ahead_m = mark.counter * metres_ - x_m;
            return mark.kind == PassingKind::light && ahead_m > -kBehind_m && ahead_m < kInView_m;
        });
    }

    std::optional<double> shown_at(double time_s) const {
        const auto at =
            std::ranges::lower_bound(track_.samples, time_s - 1e-6, {}, &CounterSample::time_s);
        return at == track_.samples.end() ? std::nullopt : at->counter;
    }

    void add(PassingKind kind, double x_m, double time_s) {
        track_.marks.push_back({kind, x_m / metres_, time_s, shown_at(time_s)});
    }

    void tell_places(PassingKind kind, std::string_view what, std::string_view why,
                     std::string what_to_do) {
        std::vector<std::string> places;
        std::optional<double> first_s;
        for (const PassingMark& mark : track_.marks) {
            if (mark.kind != kind) continue;
            if (!first_s) first_s = mark.time_s;
            places.push_back(
                fmt::format("{:.{}f}", mark.shown.value_or(mark.counter), track_.format->decimals));
        }
        if (places.empty()) return;
        const std::size_t more = places.size() - std::min(places.size(), kMostTold);
        places.resize(places.size() - more);
        track_.findings.push_back(
            clip_finding(track_, Severity::info,
                         fmt::format("{} near counter {}{}: {}.", what, fmt::join(places, ", "),
                                     more > 0 ? fmt::format(" and {} more places", more) : "", why),
                         std::move(what_to_do), first_s));
    }

    void tell_row() {
        const JointRow& row = *track_.joint_row;
        const double bound = 2.0 * row.spacing.sd;
        const CounterUnit shown = track_.format->unit;
        const std::string_view unit = shown == CounterUnit::unknown ? ""
                                      : shown == CounterUnit::metre ? " m"
                                                                    : " ft";
        std::string words = fmt::format(
            "Dark rings, as joints show, pass every {:.2f}{} by the counter (within {:.2f}; {} "
            "spaces between {:.1f} and {:.1f}).",
            row.spacing.value, unit, bound, row.spaces, row.from, row.to);
        if (shown != CounterUnit::unknown) {
            const auto sticks = usual_sticks_near(row.spacing.value * metres_, kReelOff);
            words += sticks.empty()
                         ? " No usual stick of pipe is about so long."
                         : fmt::format(" Usual sticks about so long: {}.", fmt::join(sticks, ", "));
        }
        track_.findings.push_back(clip_finding(
            track_, Severity::info, std::move(words),
            "If you know how long the sticks are, write it in the column stick length of runs: it "
            "tells how far the counter is off. Else no length rests on this."));
    }

    std::span<const WaterLook> looks_;
    const JoinedTrack& joined_;
    Track& track_;
    double metres_;
};

}  // namespace

void keep_marks(std::span<const WaterLook> looks, Track& track) {
    track.marks.clear();
    track.joint_row.reset();
    if (!track.format || looks.empty()) return;
    const JoinedTrack joined = continuous(track);
    if (!passes_with_counter(looks, joined)) return;
    Marker marker(looks, joined, track);
    if (const auto by_passing = count_by_passing(looks, joined)) marker.mark_rings(*by_passing);
    marker.mark_light();
    marker.mark_turns();
    std::ranges::stable_sort(track.marks, {}, &PassingMark::counter);
}

}  // namespace sondeline
