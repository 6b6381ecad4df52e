// A picture freed of noise and of the wall's small marks.
#pragma once

#include <opencv2/core.hpp>

namespace sondeline {

// Smoothed by a Gaussian of a sixtieth of the picture's height, to the bit as cv::GaussianBlur does
// it: pictures as small as those of the looks for water in a quarter of its time. `picture` has 40
// rows and columns or more.
cv::Mat1b smooth_for_pipe_view(const cv::Mat1b& picture);

}  // namespace sondeline
