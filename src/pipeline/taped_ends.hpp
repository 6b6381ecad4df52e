// Taped inverts against the depths along their pipes.
#pragma once

#include <optional>
#include <vector>

#include "sondeline/alignment.hpp"

namespace sondeline {

// What a locator's depths are off by on one site, all of them (common practice, no source).
inline constexpr double locator_sd_m = 0.03;

// A taped end against the depths along its pipe.
struct TapedEnd {
    int structure = -1;
    std::size_t run = 0;
    double bore_m = 0.0;
    double depth_m = 0.0;  // as taped
    Estimate above_m;      // of the grade of the depths
    // The ground there, above an even fall of the ground at these depths; empty where that is
    // uneven.
    std::optional<Estimate> ground_above_m;
};

// Of the tapes at structures that four depths at least on an even grade, within 15 m, can be held
// against, all with their ground.
std::vector<TapedEnd> taped_ends(const Lines& lines);

// By weight; `ends` must not be empty.
Estimate mean_above_m(const std::vector<TapedEnd>& ends);

}  // namespace sondeline
