#include "footage/path_trust.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace sondeline {

namespace {

constexpr float kHiddenPerCell = 2.6F;   // nats: nothing in the cells looks like a digit
constexpr float kOtherValueNats = 3.0F;  // this sample alone would choose another value by so much
constexpr double kNearAJump_s = 1.5;
constexpr double kRest_s = 0.6;
constexpr double kLongestExcursion_s = 60.0;

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

class JumpFinder {
  public:
    JumpFinder(std::span<const LineEvidence> evidence, const ReelMotion& motion,
               std::vector<LineSample>& samples)
        : evidence_(evidence), motion_(motion), samples_(samples) {}

    std::vector<PathJump> find() const {
        std::vector<PathJump> jumps;
        std::size_t last = samples_.size();
        for (std::size_t i = 0; i < samples_.size(); ++i) {
            if (samples_[i].unread != Unread::no) continue;
            if (last < samples_.size() && !reachable(last, i)) {
                jumps.push_back({last, i, is_clean(last, i)});
            }
            last = i;
        }
        return jumps;
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

  private:
    double time(std::size_t i) const { return evidence_[i].time_s; }

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

    bool is_clean(std::size_t before, std::size_t after) const {
        if (time(after) - time(before) > 2.0) return false;
        const bool zeroed = samples_[after].ticks == 0;
        return rests(after, 1) && (zeroed || rests(before, -1));
    }

    // Away and back again: what a misread digit does, and no counter.
    bool comes_back(const PathJump& away, const PathJump& back) const {
        const double spell = time(back.after) - time(away.before);
        const double most = motion_.most_ticks_per_s * spell + 2.0;
        const auto apart = std::llabs(samples_[back.after].ticks - samples_[away.before].ticks);
        return spell < kLongestExcursion_s && static_cast<double>(apart) <= std::min(most, 200.0) &&
               samples_[away.after].ticks != 0;
    }

    void withhold_from_to(double from_s, double to_s) {
        for (std::size_t i = 0; i < samples_.size(); ++i) {
            if (time(i) < from_s || time(i) > to_s || samples_[i].unread != Unread::no) continue;
            samples_[i] = {0, 0.0F, Unread::near_a_jump};
        }
    }

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
    for (const PathValue& value : path.values) {
        result.samples.push_back(judged(value, shape.cells, min_probability));
    }
    JumpFinder finder(evidence, motion, result.samples);
    result.jumps = finder.find();
    finder.withhold(result.jumps);
    return result;
}

}  // namespace sondeline
