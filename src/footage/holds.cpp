#include "footage/holds.hpp"

#include <algorithm>
#include <cmath>

namespace sondeline {
namespace {

constexpr double kShortestHold_s = 2.0;
constexpr double kFlicker_s = 0.5;        // a reading one tick off for so long is a hesitation
constexpr double kLongestBridge_s = 2.0;  // unread time within a hold
constexpr int kPullBack_ticks = 10;

// No rod is pushed or drawn faster (common practice, no source).
constexpr double kFastest_m_per_s = 3.0;
constexpr double kLatency_s = 0.3;  // a counter that is refreshed late catches up in one step
constexpr double kStill_s = 0.5;
constexpr int kFewestZeroing_ticks = 3;
constexpr double kShortestZeroing_m = 0.1;
constexpr double kKnownGap_s = 2.0;  // the change was within a second of a reading on either side

// Successive readings of one value.
struct Level {
    std::size_t first = 0;  // sample indices, both with a reading
    std::size_t last = 0;
    double counter = 0.0;
    bool after_zeroing = false;
};

class Events {
  public:
    Events(std::vector<CounterSample>& samples, double tick, double metres_per_count)
        : samples_(samples), tick_(tick), metres_per_count_(metres_per_count) {}

    CounterEvents find() {
        find_levels();
        find_zeroings();
        set_states();
        find_holds();
        find_pull_backs();
        return std::move(events_);
    }

  private:
    double from_s(const Level& level) const { return samples_[level.first].time_s; }
    double to_s(const Level& level) const { return samples_[level.last].time_s; }
    double length_s(const Level& level) const { return to_s(level) - from_s(level); }
    bool same(double a, double b) const { return std::abs(a - b) < 0.5 * tick_; }

    void find_levels();
    bool is_zeroing(const Level& before, const Level& after) const;
    void find_zeroings();
    void set_states();
    void find_holds();
    void add_hold(std::size_t from, std::size_t to, double counter);
    std::size_t hold_end(std::size_t from) const;
    void find_pull_backs();

    std::vector<CounterSample>& samples_;
    double tick_;
    double metres_per_count_;
    std::vector<Level> levels_;
    CounterEvents events_;
};

void Events::find_levels() {
    for (std::size_t i = 0; i < samples_.size(); ++i) {
        if (!samples_[i].counter) continue;
        const double counter = *samples_[i].counter;
        if (!levels_.empty() && same(levels_.back().counter, counter)) {
            levels_.back().last = i;
        } else {
            levels_.push_back({i, i, counter, false});
        }
    }
}

// It is known, or the change is more than the head can have moved, or a head at rest before and
// after went to naught in one step.
bool Events::is_zeroing(const Level& before, const Level& after) const {
    if (samples_[after.first].state == CounterState::zero) return true;
    const double gap_s = from_s(after) - to_s(before);
    const double change = std::abs(after.counter - before.counter);
    const double change_m = change * metres_per_count_;
    if (change_m > kFastest_m_per_s * (gap_s + kLatency_s) && change > kPullBack_ticks * tick_) {
        return true;
    }
    const bool at_rest = length_s(before) >= kStill_s && length_s(after) >= kStill_s;
    return at_rest && same(after.counter, 0.0) && gap_s <= kLatency_s + 0.1 &&
           change > (kFewestZeroing_ticks - 0.5) * tick_ && change_m >= kShortestZeroing_m;
}

void Events::find_zeroings() {
    for (std::size_t i = 1; i < levels_.size(); ++i) {
        const Level& before = levels_[i - 1];
        Level& after = levels_[i];
        if (!is_zeroing(before, after)) continue;
        after.after_zeroing = true;
        Zeroing zeroing;
        zeroing.time_s = from_s(after);
        zeroing.counter_before = before.counter;
        zeroing.counter_after = after.counter;
        zeroing.gap_known = from_s(after) - to_s(before) <= kKnownGap_s;
        events_.zeroings.push_back(zeroing);
    }
}

void Events::set_states() {
    for (CounterSample& sample : samples_) {
        if (!sample.counter) sample.state = CounterState::missing;
    }
    for (std::size_t i = 0; i < levels_.size(); ++i) {
        const Level& level = levels_[i];
        const bool has_next = i + 1 < levels_.size() && !levels_[i + 1].after_zeroing;
        const bool has_previous = i > 0 && !level.after_zeroing;
        const double next = has_next ? levels_[i + 1].counter : level.counter;
        const double previous = has_previous ? levels_[i - 1].counter : level.counter;
        double change = next - previous;
        if (same(change, 0.0)) change = level.counter - previous;
        CounterState state = CounterState::hold;
        if (length_s(level) < kShortestHold_s && change > 0.0) state = CounterState::push;
        if (length_s(level) < kShortestHold_s && change < 0.0) state = CounterState::pull;
        for (std::size_t k = level.first; k <= level.last; ++k) {
            if (samples_[k].counter) samples_[k].state = state;
        }
        if (level.after_zeroing) samples_[level.first].state = CounterState::zero;
    }
}

// The last level of a stand that begins at level `from`: the same value again after a flicker of
// one tick.
std::size_t Events::hold_end(std::size_t from) const {
    std::size_t end = from;
    while (end + 2 < levels_.size()) {
        const Level& flicker = levels_[end + 1];
        const Level& again = levels_[end + 2];
        const bool one_tick = std::abs(flicker.counter - levels_[from].counter) < 1.5 * tick_;
        const bool brief = from_s(again) - to_s(levels_[end]) <= kFlicker_s;
        if (!one_tick || !brief || !same(again.counter, levels_[from].counter) ||
            flicker.after_zeroing || again.after_zeroing) {
            break;
        }
        end += 2;
    }
    return end;
}

// A level with a long unread stretch inside is two stands: the head may have been away meanwhile.
void Events::find_holds() {
    for (std::size_t i = 0; i < levels_.size(); ++i) {
        const std::size_t end = hold_end(i);
        std::size_t from = levels_[i].first;
        std::size_t last = from;
        for (std::size_t k = from; k <= levels_[end].last; ++k) {
            if (!samples_[k].counter) continue;
            if (samples_[k].time_s - samples_[last].time_s > kLongestBridge_s) {
                add_hold(from, last, levels_[i].counter);
                from = k;
            }
            last = k;
        }
        add_hold(from, last, levels_[i].counter);
        i = end;
    }
}

void Events::add_hold(std::size_t from, std::size_t to, double counter) {
    const Hold hold{samples_[from].time_s, samples_[to].time_s, counter};
    if (hold.to_s - hold.from_s < kShortestHold_s) return;
    events_.holds.push_back(hold);
    for (std::size_t k = from; k <= to; ++k) {
        const CounterState state = samples_[k].state;
        if (state == CounterState::push || state == CounterState::pull) {
            samples_[k].state = CounterState::hold;
        }
    }
}

void Events::find_pull_backs() {
    const double enough = (kPullBack_ticks - 0.5) * tick_;
    std::optional<PullBack> pull;
    const Level* top = nullptr;
    const Level* bottom = nullptr;
    const auto close = [&] {
        if (pull) events_.pull_backs.push_back(*pull);
        pull.reset();
    };
    for (const Level& level : levels_) {
        if (level.after_zeroing) {
            close();
            top = nullptr;
        }
        if (pull) {
            if (level.counter < pull->to_counter) {
                pull->to_counter = level.counter;
                pull->to_s = from_s(level);
                bottom = &level;
            } else if (level.counter > bottom->counter + enough) {
                close();
                top = &level;
            }
            continue;
        }
        if (top == nullptr || level.counter >= top->counter) {
            top = &level;
        } else if (level.counter < top->counter - enough) {
            pull = PullBack{to_s(*top), from_s(level), top->counter, level.counter};
            bottom = &level;
        }
    }
    close();
}

}  // namespace

CounterEvents find_events(std::vector<CounterSample>& samples, double tick,
                          double metres_per_count) {
    return Events(samples, tick, metres_per_count).find();
}

}  // namespace sondeline
