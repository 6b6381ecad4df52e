#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "sondeline/footage.hpp"

namespace sondeline {
namespace {

constexpr double kMeet_ticks = 10.0;

// The readings of the clips of one run, strung together.
class Joiner {
  public:
    explicit Joiner(std::span<const Track> tracks) : tracks_(tracks) {}

    JoinedTrack join();

  private:
    void choose_unit_and_tick();
    double factor_of(const Track& track);
    void add(const Track& track);
    void add_seen(const Track& track, double factor);
    void add_water(const Track& track, double factor, double offset);
    void add_turns(const Track& track, double factor, double offset);
    void add_joint_spacing(const Track& track, double factor);
    void add_grade(const Track& track);
    void begin_clip(const Track& track, double factor);
    void cross(const Zeroing& zeroing, const Track& track, double factor);
    void break_off();
    bool meets_what_was_read(double begins) const;
    void add_sample(const CounterSample& sample, double factor);
    void end_part();
    void measure();
    void tell(const Track& track, Severity severity, std::string what, std::string what_to_do,
              std::optional<double> time_s = {});

    std::span<const Track> tracks_;
    JoinedTrack joined_;
    bool any_ = false;          // a reading has been taken
    bool offset_known_ = true;  // `pushed` can be told
    double offset_ = 0.0;       // pushed minus counter, in the joined unit
    std::optional<double> part_first_, part_greatest_;
    // Since the last zeroing, in the joined unit, as shown.
    double lowest_ = 0.0, highest_ = 0.0, latest_ = 0.0;
    std::size_t read_ = 0;
    std::optional<double> elapsed_s_ = 0.0;  // of the clips before
};

const CounterSample* first_reading(const Track& track) {
    for (const CounterSample& sample : track.samples) {
        if (sample.counter) return &sample;
    }
    return nullptr;
}

void Joiner::tell(const Track& track, Severity severity, std::string what, std::string what_to_do,
                  std::optional<double> time_s) {
    Finding finding;
    finding.severity = severity;
    finding.where.file = track.clip.name;
    finding.where.time_s = time_s;
    finding.what = std::move(what);
    finding.what_to_do = std::move(what_to_do);
    joined_.findings.push_back(std::move(finding));
}

// The first unit that is known; the coarsest tick.
void Joiner::choose_unit_and_tick() {
    std::optional<double> tick;
    for (const Track& track : tracks_) {
        if (!track.format || first_reading(track) == nullptr) continue;
        if (joined_.unit == CounterUnit::unknown) joined_.unit = track.format->unit;
    }
    for (const Track& track : tracks_) {
        if (!track.format || first_reading(track) == nullptr) continue;
        tick = std::max(tick.value_or(0.0), track.format->tick() * factor_of(track));
        joined_.point_in_doubt = joined_.point_in_doubt || track.format->point_in_doubt;
    }
    if (tick) joined_.tick = *tick;
}

// Whether the counter went on from the clips before without being touched.
bool Joiner::meets_what_was_read(double begins) const {
    const double reach = kMeet_ticks * joined_.tick * (1.0 + 1e-9);
    if (std::abs(begins - latest_) <= reach) return true;
    // A counter that stands at naught may have been set to it.
    if (std::abs(begins) < 0.5 * joined_.tick) return false;
    return begins >= lowest_ - reach && begins <= highest_ + reach;
}

void Joiner::end_part() {
    if (part_first_) joined_.parts.push_back(*part_greatest_ - *part_first_);
    part_first_.reset();
    part_greatest_.reset();
}

void Joiner::add_sample(const CounterSample& sample, double factor) {
    PushSample out;
    out.clip = static_cast<int>(joined_.clips.size()) - 1;
    out.sample = sample;
    if (sample.counter) {
        const double counter = *sample.counter * factor;
        ++read_;
        latest_ = counter;
        lowest_ = part_first_ ? std::min(lowest_, counter) : counter;
        highest_ = part_first_ ? std::max(highest_, counter) : counter;
        if (!part_first_) part_first_ = part_greatest_ = counter + offset_;
        part_greatest_ = std::max(*part_greatest_, counter + offset_);
        if (offset_known_) out.pushed = counter + offset_;
    }
    joined_.samples.push_back(std::move(out));
}

// Counts of the joined unit in one count of the track's.
double Joiner::factor_of(const Track& track) {
    const CounterUnit unit = track.format->unit;
    if (unit == CounterUnit::unknown || joined_.unit == CounterUnit::unknown) return 1.0;
    return metres_per_count(unit, LengthUnit::foot) /
           metres_per_count(joined_.unit, LengthUnit::foot);
}

void Joiner::break_off() {
    joined_.continuous = false;
    offset_known_ = false;
    end_part();
}

void Joiner::begin_clip(const Track& track, double factor) {
    if (std::abs(factor - 1.0) > 1e-9) {
        tell(track, Severity::caution,
             "Its counter is in another unit than that of the clips before; it is converted.",
             "Check the units shown in the clips of this run.");
    }
    joined_.clips.push_back(track.clip.name);
    joined_.clip_starts_s.push_back(elapsed_s_);
    const CounterSample& begins = *first_reading(track);
    if (any_ && !meets_what_was_read(*begins.counter * factor)) {
        tell(track, Severity::caution,
             fmt::format("The clip before ends at counter {:.6g} and this one begins at {:.6g}: "
                         "what was pushed in between cannot be known.",
                         latest_, *begins.counter * factor),
             "Give the clips in the order in which they were pushed; if one is missing, add it, or "
             "give the length by tape.",
             begins.time_s);
        break_off();
    }
    any_ = true;
}

void Joiner::cross(const Zeroing& zeroing, const Track& track, double factor) {
    if (zeroing.gap_known) {
        offset_ += (zeroing.counter_before - zeroing.counter_after) * factor;
    } else {
        tell(track, Severity::caution,
             fmt::format("The counter was set from {:.6g} to {:.6g} while it could not be read: "
                         "what was pushed meanwhile cannot be known.",
                         zeroing.counter_before, zeroing.counter_after),
             "Give the length by tape, or record the push again.", zeroing.time_s);
        break_off();
    }
    lowest_ = highest_ = latest_ = zeroing.counter_after * factor;
}

void Joiner::add(const Track& track) {
    if (!track.format || first_reading(track) == nullptr) {
        tell(track, Severity::caution, "No counter could be read in this clip; it is left out.",
             "Look at the clip; give the length by tape if the run depends on it.");
        return;
    }
    const double factor = factor_of(track);
    begin_clip(track, factor);
    auto zeroing = track.zeroings.begin();
    for (const CounterSample& sample : track.samples) {
        while (zeroing != track.zeroings.end() && sample.time_s >= zeroing->time_s - 1e-9) {
            cross(*zeroing, track, factor);
            ++zeroing;
        }
        add_sample(sample, factor);
    }
    add_seen(track, factor);
    add_grade(track);
    add_joint_spacing(track, factor);
}

void Joiner::add_joint_spacing(const Track& track, double factor) {
    if (!track.joint_row) return;
    const Estimate spacing{track.joint_row->spacing.value * factor,
                           track.joint_row->spacing.sd * factor};
    const auto& best = joined_.joint_spacing;
    if (!best || spacing.sd * best->value < best->sd * spacing.value) {
        joined_.joint_spacing = spacing;
    }
}

// Its readings are those of samples, and both are in time order.
void Joiner::add_grade(const Track& track) {
    if (!track.grade) return;
    const int clip = static_cast<int>(joined_.clips.size()) - 1;
    auto sample = std::ranges::find(joined_.samples, clip, &PushSample::clip);
    bool any = false;
    for (const GradePoint& point : track.grade->points) {
        const auto percent = track.grade->percent(point);
        while (sample != joined_.samples.end() && sample->sample.time_s < point.time_s - 1e-6) {
            ++sample;
        }
        if (sample == joined_.samples.end() || !percent) break;
        if (sample->sample.time_s > point.time_s + 1e-6 || !sample->pushed) continue;
        joined_.grade.push_back({clip, *sample->pushed, *percent});
        any = true;
    }
    const auto step = track.grade->percent({0.0, 0.0, track.grade->tick});
    if (any && step) joined_.grade_tick_percent = std::max(joined_.grade_tick_percent, *step);
}

// From the clip's own continuous counter to that of the run, by the first reading of both.
void Joiner::add_seen(const Track& track, double factor) {
    const bool water =
        track.water && !(track.water->stretches.empty() && track.water->reaches.empty());
    const bool turns =
        std::ranges::find(track.marks, PassingKind::turn, &PassingMark::kind) != track.marks.end();
    if (!water && !turns) return;
    Track bare = track;
    bare.evidence.clear();
    bare.water.reset();
    bare.marks.clear();  // what it has seen is placed here, not in its own join
    const JoinedTrack own = join_clips(std::span(&bare, 1));
    const int clip = static_cast<int>(joined_.clips.size()) - 1;
    const auto first = std::ranges::find_if(
        joined_.samples, [&](const PushSample& s) { return s.clip == clip && s.pushed; });
    if (!own.first || first == joined_.samples.end()) return;
    const double offset = *first->pushed - own.first->pushed * factor;
    if (water) add_water(track, factor, offset);
    add_turns(track, factor, offset);
}

void Joiner::add_turns(const Track& track, double factor, double offset) {
    const int clip = static_cast<int>(joined_.clips.size()) - 1;
    for (const PassingMark& mark : track.marks) {
        if (mark.kind != PassingKind::turn) continue;
        joined_.turns.push_back({clip, mark.counter * factor + offset, mark.time_s});
    }
}

void Joiner::add_water(const Track& track, double factor, double offset) {
    const int clip = static_cast<int>(joined_.clips.size()) - 1;
    for (WaterStretch stretch : track.water->stretches) {
        stretch.from = stretch.from * factor + offset;
        stretch.to = stretch.to * factor + offset;
        stretch.from_bound *= factor;
        stretch.to_bound *= factor;
        for (WaterDepth& depth : stretch.depths) depth.counter = depth.counter * factor + offset;
        joined_.water.push_back({clip, std::move(stretch)});
    }
    for (WaterReach reach : track.water->reaches) {
        reach.from = reach.from * factor + offset;
        reach.to = reach.to * factor + offset;
        joined_.water_reaches.push_back(reach);
    }
}

// First, furthest, and the time about the furthest in which more may have been pushed unseen.
void Joiner::measure() {
    const std::vector<PushSample>& samples = joined_.samples;
    std::size_t at = 0;
    for (std::size_t i = 0; i < samples.size(); ++i) {
        const PushSample& sample = samples[i];
        if (!sample.pushed) continue;
        const PushedReach reach{sample.clip, sample.sample.time_s, *sample.sample.counter,
                                *sample.pushed};
        if (!joined_.first) joined_.first = reach;
        if (!joined_.furthest || reach.pushed > joined_.furthest->pushed + 1e-9) {
            joined_.furthest = reach;
            at = i;
        }
    }
    if (!joined_.furthest) return;
    const double top = joined_.furthest->pushed - 0.5 * joined_.tick;
    const auto gap_s = [&](std::size_t earlier, std::size_t later) {
        if (samples[earlier].clip != samples[later].clip) return 0.0;
        return samples[later].sample.time_s - samples[earlier].sample.time_s;
    };
    std::size_t from = at;
    while (from > 0 && !samples[from - 1].sample.counter) --from;
    std::size_t last = at;
    while (last + 1 < samples.size() && samples[last + 1].pushed.value_or(top - 1.0) > top) ++last;
    std::size_t to = last;
    while (to + 1 < samples.size() && !samples[to + 1].sample.counter) ++to;
    joined_.unread_before_reach_s = gap_s(from, at) + gap_s(last, to);
}

JoinedTrack Joiner::join() {
    choose_unit_and_tick();
    for (const Track& track : tracks_) {
        add(track);
        const double length_s = std::max(track.clip.duration_s,
                                         track.samples.empty() ? 0.0 : track.samples.back().time_s);
        if (length_s <= 0.0) elapsed_s_.reset();
        if (elapsed_s_) *elapsed_s_ += length_s;
    }
    end_part();
    measure();
    if (!joined_.samples.empty()) {
        joined_.coverage = static_cast<double>(read_) / static_cast<double>(joined_.samples.size());
    }
    return std::move(joined_);
}

}  // namespace

JoinedTrack join_clips(std::span<const Track> tracks) {
    return Joiner(tracks).join();
}

}  // namespace sondeline
