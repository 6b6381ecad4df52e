// Pipes, lamps, lenses, heads and overlays as unlike one another as may be, for choosing thresholds
// on. None of them is a family that figures are quoted from. Everything here is invented.
#pragma once

#include <cstdint>

#include <opencv2/core.hpp>

#include "bench/water_clip.hpp"

namespace sondeline::bench {

// Draws everything but water, difficulties and the push. `turn`: which kind of look, by turns.
void draw_wide_look(cv::RNG& chance, std::uint64_t turn, WaterClip& clip);

}  // namespace sondeline::bench
