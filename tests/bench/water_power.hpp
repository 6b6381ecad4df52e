// How deep standing water has to be to be noticed: found, left open or passed over, by its depth
// and by whether the footage was held to be plain there.
#pragma once

#include <array>

#include "sondeline/footage.hpp"

#include "bench/water_clip.hpp"

namespace sondeline::bench {

class WaterPower {
  public:
    // `found`: one of the track's stretches lies on the drawn water.
    void add(const WaterClip& clip, const Track& track, bool found);
    void add(const WaterPower& more);

    // A row for each class of depths; and how much of the dry pipe was held to be what.
    void print() const;

  private:
    struct Count {
        int found = 0;
        int left_open = 0;    // not found, but shores were followed along half of it
        int passed_over = 0;  // neither: where the footage is plain, a false assurance
    };
    static constexpr std::size_t depths = 7;
    std::array<Count, depths> plain_{};
    std::array<Count, depths> others_{};
    // Of clips without standing water, metres.
    double looked_m_ = 0.0;
    double plain_m_ = 0.0;
    double open_m_ = 0.0;
};

}  // namespace sondeline::bench
