#include "footage/frame_clock.hpp"

#include <cmath>

namespace sondeline {
namespace {

constexpr double kUsualFrame_s = 1.0 / 25.0;
constexpr double kGap_s = 1.0;
constexpr double kLongestGap_s = 3600.0;

}  // namespace

double FrameClock::time_of(std::optional<double> stamp_s, double frame_rate, FrameReport& report) {
    const bool rate_is_usable = frame_rate >= 1.0 && frame_rate <= 1000.0;
    const double frame_s = rate_is_usable ? 1.0 / frame_rate : kUsualFrame_s;
    double time_s = any_ ? last_s_ + frame_s : 0.0;
    if (stamp_s) {
        if (!origin_s_) origin_s_ = *stamp_s - time_s;
        const double stamped_s = *stamp_s - *origin_s_;
        const bool backwards = any_ && stamped_s < last_s_;
        if (backwards || stamped_s > last_s_ + kLongestGap_s) {
            ++report.back_steps;
            origin_s_ = *stamp_s - time_s;
        } else {
            time_s = stamped_s;
        }
    }
    if (any_) {
        const double gap_s = time_s - last_s_;
        if (gap_s <= 0.0) ++report.repeats;
        if (gap_s > kGap_s) ++report.gaps;
        if (gap_s > kGap_s && gap_s > report.longest_gap_s) {
            report.longest_gap_s = gap_s;
            report.longest_gap_at_s = last_s_;
        }
    }
    any_ = true;
    last_s_ = time_s;
    report.last_time_s = time_s;
    return time_s;
}

bool SampleGrid::is_due(double time_s) {
    if (per_s_ <= 0.0) return true;
    constexpr double kRounding = 1e-6;  // of a step: time stamps are rounded to their time base
    const double step = time_s * per_s_ + kRounding;
    // A stamp far back starts anew, so that a broken time line does not end the sampling.
    if (next_step_ && step < *next_step_ && step > *next_step_ - 100.0) return false;
    next_step_ = std::floor(step) + 1.0;
    return true;
}

}  // namespace sondeline
