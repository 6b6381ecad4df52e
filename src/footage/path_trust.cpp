#include "footage/path_trust.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <optional>

#include "footage/merged_digits.hpp"

namespace sondeline {

namespace {

constexpr float kHiddenPerCell = 2.6F;    // nats: nothing in the cells looks like a digit
constexpr float kOtherValueNats = 3.0F;   // this sample alone would choose another value by so much
constexpr float kUnsupportedNats = 2.2F;  // of the value told, on average over a spell
constexpr double kSpell_s = 0.45;         // to either side
constexpr double kNearAJump_s = 1.5;
constexpr double kRest_s = 0.6;
constexpr float kLikely = 0.9F;  // of a value that is not told, to say that the counter rested
constexpr double kLongestExcursion_s = 60.0;
constexpr double kLongestRestAside_s = 10.0;

Unread why_unsure(const PathValue& value, int cells) {
    if (value.least_cost > kHiddenPerCell * static_cast<float>(cells)) return Unread::text_hidden;
    if (value.cost > value.least_cost + kOtherValueNats) return Unread::between_values;
    return Unread::unsure;
}

LineSample judged(const PathValue& value, int cells, double min_probability) {
    LineSample sample;
    const bool hidden = value.least_cost > kHiddenPerCell * static_cast<float>(cells);
    const bool shows_other = value.cost > value.least_cost + 2.0F * kOtherValueNats;
    if (value.probability < min_probability || hidden || shows_other) {
        sample.unread = why_unsure(value, cells);
        return sample;
    }
    sample.ticks = value.ticks;
    sample.probability = std::min(value.probability, 0.9999F);
    return sample;
}

// Whether one digit stands in every place of a long number, other than 0.
bool all_alike(const CounterShape& shape, std::int64_t ticks) {
    constexpr int kLong = 4;
    const WrittenLayout* layout = layout_of(shape, ticks);
    if (layout == nullptr) return false;
    int places = 0;
    int first = 0;
    for (int cell = 0; cell < shape.cells; ++cell) {
        if (layout->cells[cell].kind != CellRole::Kind::digit) continue;
        const int shown = class_in_cell(layout->cells[cell], ticks);
        if (places++ == 0) first = shown;
        if (shown != first) return false;
    }
    return places >= kLong && first != 0;
}

// Mean cost of the digits of the path's own values about each sample. When a value is hardly
// supported for longer than a glitch, some digit is not seen at all and only guessed from what it
// least unlike is; the same wrong guess sample after sample must not add up to certainty.
std::vector<float> costs_about(const CounterPath& path, std::span<const LineEvidence> evidence) {
    std::vector<float> means(path.values.size(), 0.0F);
    std::size_t from = 0;
    std::size_t to = 0;
    float sum = 0.0F;
    for (std::size_t i = 0; i < means.size(); ++i) {
        const double time_s = evidence[i].time_s;
        while (to < means.size() && evidence[to].time_s <= time_s + kSpell_s) {
            sum += path.values[to++].digit_cost;
        }
        while (evidence[from].time_s < time_s - kSpell_s) sum -= path.values[from++].digit_cost;
        means[i] = sum / static_cast<float>(to - from);
    }
    return means;
}

class JumpFinder {
  public:
    JumpFinder(const CounterPath& path, std::span<const LineEvidence> evidence,
               const ReelMotion& motion, std::vector<LineSample>& samples)
        : path_(path), evidence_(evidence), motion_(motion), samples_(samples) {}

    std::vector<PathJump> find() const {
        std::vector<PathJump> jumps;
        std::size_t last = samples_.size();
        for (std::size_t i = 0; i < samples_.size(); ++i) {
            if (samples_[i].unread != Unread::no) continue;
            if (last < samples_.size() && !reachable(last, i)) {
                jumps.push_back(
                    {last, i, is_clean(last, i), false, is_set_from_untold_rest(last, i)});
            }
            last = i;
        }
        for (std::size_t j = 0; j + 1 < jumps.size(); ++j) {
            if (!comes_back(jumps[j], jumps[j + 1])) continue;
            jumps[j].comes_back = true;
            jumps[j + 1].comes_back = true;
        }
        return jumps;
    }

    // A number that a minus has moved on by part of a digit: between two noughts stands what looks
    // like a 1, place after place. It begins or ends by a jump, whatever the jump looks like.
    void withhold_all_alike(const CounterShape& shape, const std::vector<PathJump>& jumps) {
        for (const PathJump& jump : jumps) {
            withhold_stay(shape, jump.before, -1);
            withhold_stay(shape, jump.after, 1);
        }
    }

    void withhold(const std::vector<PathJump>& jumps) {
        for (std::size_t j = 0; j < jumps.size(); ++j) {
            const PathJump& jump = jumps[j];
            if (j + 1 < jumps.size() && comes_back(jump, jumps[j + 1])) {
                withhold_from_to(time(jump.after), time(jumps[j + 1].before));
            }
            if (jump.clean) continue;
            withhold_from_to(time(jump.before) - kNearAJump_s, time(jump.after) + kNearAJump_s);
        }
    }

    // A digit that is misread from one carry to the next: the digits behind it go on as they did,
    // and it changes back by as much as it changed, or the clip ends. When the value comes back
    // step by step, the head was drawn back.
    void withhold_missed_carries(std::int64_t ticks_to_a_carry) {
        std::optional<std::size_t> last;
        Carry open;  // none while nothing is missed
        for (std::size_t i = 0; i < samples_.size(); ++i) {
            if (samples_[i].unread != Unread::no) continue;
            if (open.missed != 0 && is_back(open, *last, i)) {
                withhold_from_to(time(open.after), time(*last));
                open = {};
            } else if (open.missed != 0 && has_come_back(open, i)) {
                open = {};
            } else if (last && open.missed == 0) {
                open = missed_carry(*last, i, ticks_to_a_carry);
            }
            last = i;
        }
        if (open.missed != 0 && !open.ahead &&
            time(*last) - time(open.after) < kLongestExcursion_s) {
            withhold_from_to(time(open.after), time(*last));
        }
    }

    // A last digit that is misread while the head rests: away at once, at rest there, and back.
    void withhold_rests_aside() {
        std::vector<std::size_t> sure;
        for (std::size_t i = 0; i < samples_.size(); ++i) {
            if (samples_[i].unread == Unread::no) sure.push_back(i);
        }
        for (std::size_t k = 1; k < sure.size(); ++k) {
            const std::int64_t aside = samples_[sure[k]].ticks;
            const std::int64_t away = aside - samples_[sure[k - 1]].ticks;
            const double usual = usual_step(sure[k - 1], sure[k]);
            if (static_cast<double>(std::llabs(away)) < usual) continue;
            std::size_t end = k;
            while (end < sure.size() && samples_[sure[end]].ticks == aside) ++end;
            if (end == sure.size()) return;
            const std::int64_t back = samples_[sure[end]].ticks - aside;
            const double least_back = usual_step(sure[end - 1], sure[end]) - 1.5;
            const bool is_aside = std::llabs(away + back) <= 2 &&
                                  static_cast<double>(std::llabs(back)) >= least_back &&
                                  time(sure[end - 1]) - time(sure[k]) < kLongestRestAside_s;
            if (is_aside) withhold_from_to(time(sure[k]), time(sure[end - 1]));
            k = end;
        }
    }

  private:
    struct Carry {
        std::size_t before = 0;
        std::size_t after = 0;
        std::int64_t missed = 0;
        bool ahead = false;  // as a recorder that was stopped for a while would leave it
    };

    double time(std::size_t i) const { return evidence_[i].time_s; }

    // How far a head that moves as it did before `a`, or half as fast again, comes by `b`.
    double usual_step(std::size_t a, std::size_t b) const {
        std::int64_t path = 0;
        std::size_t first = a;
        for (std::size_t k = a; k-- > 0 && time(a) - time(k) < kNearAJump_s;) {
            if (samples_[k].unread != Unread::no) continue;
            path += std::llabs(samples_[first].ticks - samples_[k].ticks);
            first = k;
        }
        const double speed = first < a ? static_cast<double>(path) / (time(a) - time(first)) : 0.0;
        return 1.5 * std::max(motion_.usual_ticks_per_s, speed) * (time(b) - time(a)) + 2.0;
    }

    // Which way the value next changes, looking from `i` in the direction given; 0 when it rests.
    int trend(std::size_t i, int direction) const {
        const std::int64_t ticks = samples_[i].ticks;
        for (std::size_t k = i; k < samples_.size(); k += static_cast<std::size_t>(direction)) {
            if (std::abs(time(k) - time(i)) > kNearAJump_s) return 0;
            if (samples_[k].unread != Unread::no || samples_[k].ticks == ticks) continue;
            return (samples_[k].ticks > ticks) == (direction > 0) ? 1 : -1;
        }
        return 0;
    }

    // By how much the value at `b` is off what the last digits say, when they move on from `a` as
    // they well may and the whole value as it hardly can.
    Carry missed_carry(std::size_t a, std::size_t b, std::int64_t ticks_to_a_carry) const {
        const double usual = usual_step(a, b);
        const std::int64_t step = samples_[b].ticks - samples_[a].ticks;
        if (static_cast<double>(std::llabs(step)) <= usual || is_clean(a, b)) return {};
        const double carry = static_cast<double>(ticks_to_a_carry);
        const std::int64_t off = std::llround(static_cast<double>(step) / carry) * ticks_to_a_carry;
        if (static_cast<double>(std::llabs(step - off)) > usual) return {};
        const int way = trend(a, -1);
        if (way == 0 || way != trend(b, 1)) return {};
        return {a, b, off, way == (step > 0 ? 1 : -1)};
    }

    bool is_back(const Carry& open, std::size_t a, std::size_t b) const {
        const double usual = usual_step(a, b);
        const std::int64_t step = samples_[b].ticks - samples_[a].ticks;
        return static_cast<double>(std::llabs(step)) > usual &&
               static_cast<double>(std::llabs(step + open.missed)) <= usual &&
               time(b) - time(open.after) < kLongestExcursion_s;
    }

    bool has_come_back(const Carry& open, std::size_t i) const {
        const std::int64_t from = samples_[open.before].ticks;
        return open.missed < 0 ? samples_[i].ticks >= from : samples_[i].ticks <= from;
    }

    bool reachable(std::size_t a, std::size_t b) const {
        const double most = motion_.most_ticks_per_s * (time(b) - time(a)) + 2.0;
        return static_cast<double>(std::llabs(samples_[b].ticks - samples_[a].ticks)) <= most;
    }

    bool rests(std::size_t i, int direction) const {
        const std::int64_t ticks = samples_[i].ticks;
        for (std::size_t k = i; k < samples_.size(); k += static_cast<std::size_t>(direction)) {
            if (std::abs(time(k) - time(i)) > kRest_s) return true;
            if (samples_[k].unread == Unread::no && samples_[k].ticks != ticks) return false;
        }
        return true;
    }

    // Right before `after` the counter rests too faintly for its value to be told, and yet at one
    // likely value, to which the head came by going on as it did.
    bool rests_untold(std::size_t before, std::size_t after) const {
        const std::int64_t ticks = path_.values[after - 1].ticks;
        for (std::size_t k = after; --k > before;) {
            const PathValue& value = path_.values[k];
            if (samples_[k].unread != Unread::unsure || value.ticks != ticks ||
                value.probability < kLikely) {
                return false;
            }
            if (time(after) - time(k) <= kRest_s) continue;
            const auto moved = static_cast<double>(std::llabs(ticks - samples_[before].ticks));
            return moved <= usual_step(before, k);
        }
        return false;
    }

    bool is_near_zero(std::size_t after, double since_s) const {
        const double most = motion_.most_ticks_per_s * since_s + 1.0;
        return static_cast<double>(std::llabs(samples_[after].ticks)) <= most;
    }

    bool is_set_from_untold_rest(std::size_t before, std::size_t after) const {
        const double since_rest_s = time(after) - time(after - 1);
        return is_near_zero(after, since_rest_s) && rests_untold(before, after);
    }

    // The counter was set: at rest on both sides, or to zero from rest or into rest. What moves on
    // both sides of 9.9 and 0.0 is a carry whose first digit was not seen.
    bool is_clean(std::size_t before, std::size_t after) const {
        if (is_set_from_untold_rest(before, after)) return true;
        const double apart_s = time(after) - time(before);
        if (apart_s > 2.0) return false;
        if (is_near_zero(after, apart_s) && rests(before, -1)) return true;
        return rests(after, 1) && (samples_[after].ticks == 0 || rests(before, -1));
    }

    // Away and back again: what a misread digit does, and no counter.
    bool comes_back(const PathJump& away, const PathJump& back) const {
        const double spell = time(back.after) - time(away.before);
        const double most = motion_.most_ticks_per_s * spell + 2.0;
        const auto apart = std::llabs(samples_[back.after].ticks - samples_[away.before].ticks);
        return spell < kLongestExcursion_s && static_cast<double>(apart) <= std::min(most, 200.0) &&
               samples_[away.after].ticks != 0;
    }

    // The readings at one value from `i` on, in the direction given, where all its digits are
    // alike.
    void withhold_stay(const CounterShape& shape, std::size_t i, int direction) {
        const std::int64_t ticks = samples_[i].ticks;
        if (!all_alike(shape, ticks)) return;
        for (std::size_t k = i; k < samples_.size(); k += static_cast<std::size_t>(direction)) {
            if (samples_[k].unread != Unread::no) continue;
            if (samples_[k].ticks != ticks) return;
            samples_[k] = {0, 0.0F, Unread::unsure};
        }
    }

    void withhold_from_to(double from_s, double to_s) {
        for (std::size_t i = 0; i < samples_.size(); ++i) {
            if (time(i) < from_s || time(i) > to_s || samples_[i].unread != Unread::no) continue;
            samples_[i] = {0, 0.0F, Unread::near_a_jump};
        }
    }

    const CounterPath& path_;
    std::span<const LineEvidence> evidence_;
    ReelMotion motion_;
    std::vector<LineSample>& samples_;
};

}  // namespace

TrustedPath trusted(const CounterPath& path, const CounterShape& shape,
                    std::span<const LineEvidence> evidence, const ReelMotion& motion,
                    double min_probability) {
    TrustedPath result;
    result.samples.reserve(path.values.size());
    const std::vector<float> costs = costs_about(path, evidence);
    for (std::size_t i = 0; i < path.values.size(); ++i) {
        LineSample sample = judged(path.values[i], shape.cells, min_probability);
        const bool unsupported =
            path.values[i].digit_cost > kUnsupportedNats && costs[i] > kUnsupportedNats;
        if (sample.unread == Unread::no && unsupported) sample = {0, 0.0F, Unread::unsure};
        result.samples.push_back(sample);
    }
    const std::bitset<10> merged = merged_digits(result.samples);
    for (LineSample& sample : result.samples) {
        if (sample.unread != Unread::no || !shows_any(shape, sample.ticks, merged)) continue;
        sample = {0, 0.0F, Unread::unsure};
    }
    JumpFinder finder(path, evidence, motion, result.samples);
    finder.withhold_all_alike(shape, finder.find());
    result.jumps = finder.find();
    finder.withhold_rests_aside();
    finder.withhold_missed_carries(ticks_to_a_carry(shape.feet_and_inches, motion));
    finder.withhold(result.jumps);
    for (const PathJump& jump : result.jumps) {
        LineSample& after = result.samples[jump.after];
        after.was_set = jump.from_untold_rest && after.unread == Unread::no;
    }
    return result;
}

}  // namespace sondeline
