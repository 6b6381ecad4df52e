// Pictures along an invented pipe, made small as the looks for water take them.
#pragma once

#include <vector>

#include <opencv2/core.hpp>

#include "support/scenario.hpp"

namespace sondeline {

// A level 100 mm pipe, evenly lit, seen from its axis, without noise.
support::Scenario plain_pipe();

// The frames of a push to `to_m`, as grey pictures 160 pixels wide.
std::vector<cv::Mat1b> small_frames(support::Scenario scenario, double to_m);

}  // namespace sondeline
