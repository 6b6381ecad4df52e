// Time stamps made usable: counted from the first frame and never falling.
#pragma once

#include <optional>

#include "footage/frames.hpp"

namespace sondeline {

// Turns the stamps of frames in the order of showing into times. A stamp that runs backwards, or
// leaps by more than an hour, starts a new count one frame after the last; a missing stamp is one
// frame after the last. Each is noted in the report.
class FrameClock {
  public:
    double time_of(std::optional<double> stamp_s, double frame_rate, FrameReport& report);

  private:
    std::optional<double> origin_s_;  // stamp of time 0
    double last_s_ = 0.0;
    bool any_ = false;
};

// Picks the first time at or after each step of a regular grid.
class SampleGrid {
  public:
    // `per_s` steps a second; 0 picks everything.
    explicit SampleGrid(double per_s) : per_s_(per_s) {}
    bool is_due(double time_s);

  private:
    double per_s_;
    std::optional<double> next_step_;
};

}  // namespace sondeline
