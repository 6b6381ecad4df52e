// How a reel counter steps from one sample to the next.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

namespace sondeline {

struct LineEvidence;

struct ReelMotion {
    double most_ticks_per_s = 100.0;
    double usual_ticks_per_s = 10.0;
    std::int64_t longest_ticks = 10000;  // readings beyond it are improbable, not impossible
};

// For a tick of `tick_m` metres: a head is pushed at some 0.2 m/s and hardly ever above 3 m/s; push
// reels carry up to some 150 m of rod (common practice, no source).
ReelMotion reel_motion(double tick_m);

// Ticks of the lowest digit before the last that is worth more than a head moves in a second.
std::int64_t ticks_to_a_carry(bool feet_and_inches, const ReelMotion& motion);

struct PathValue {
    std::int64_t ticks = 0;
    float probability = 0.0F;  // posterior
    // Nats per sample, evidence unshared: cost of this value, and of the value that this sample
    // alone would choose.
    float cost = 0.0F;
    float least_cost = 0.0F;
    float digit_cost = 0.0F;  // of this value's digits alone
};

// Probability of a change of d ticks in a given time, for |d| up to the reach.
class StepTable {
  public:
    explicit StepTable(const ReelMotion& motion) : motion_(motion) {}

    // `speed`: ticks per second about that time, where it is known.
    void set(double gap_s, std::optional<double> speed);

    std::int64_t reach() const { return reach_; }
    double probability(std::int64_t d) const {
        return steps_[static_cast<std::size_t>(d + reach_)];
    }

  private:
    void fill_without_speed();
    void mix_in_speed(double expected);

    ReelMotion motion_;
    double gap_s_ = -1.0;
    std::optional<double> speed_;
    std::int64_t reach_ = 0;
    std::vector<double> steps_;
};

// Ticks per second of the step to each sample, from the values about it; empty where too few of
// them are likely or they are no straight line.
std::vector<std::optional<float>> speeds_along(std::span<const LineEvidence> evidence,
                                               std::span<const PathValue> values);

}  // namespace sondeline
