// Where the picture looks along a round pipe: the vanishing point, and how the pipe's circles lie
// about it.
#pragma once

#include <optional>

#include <opencv2/core.hpp>

namespace sondeline {

// Circles of a straight pipe, as a lens in it sees them, are images of one another about the
// vanishing point: that of radius k stands at `vanishing` + k · `lean`. The length of `lean` is how
// far the lens lies off the pipe's axis in radii; it points from the lens to the axis.
struct PipeView {
    cv::Point2d vanishing;
    cv::Point2d lean;
    double round = 0.0;  // share of directions in which the light ends on the circle, 0…1
};

// Seeks circles of equal light round the dark that a lit pipe ends in. `smooth`: as
// smooth_for_pipe_view makes it; `unseen` (non-zero where overlay text stands) has its size.
// Empty: not a pipe seen along its axis.
std::optional<PipeView> find_pipe_view(const cv::Mat1b& smooth, const cv::Mat1b& unseen);

}  // namespace sondeline
