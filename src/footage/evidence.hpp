// Which moments of a clip a person should be able to look at, and how they are drawn.
#pragma once

#include <string>
#include <vector>

#include <opencv2/core.hpp>

#include "sondeline/footage.hpp"

namespace sondeline {

struct EvidenceMoment {
    double time_s = 0.0;
    std::string what;     // as EvidencePicture::what
    std::string reading;  // "12.4 ft", or why there is none
};

inline constexpr int most_evidence = 12;  // besides marks along the pipe

// First reading, furthest reach, zeroings, the deepest places of standing water, stretches of a
// second or more without a reading (the middle of each, the longest ones first), at most
// `most_evidence`; besides these two sudden turns, two changes of light and a dark ring. In time
// order. Empty without a format.
std::vector<EvidenceMoment> evidence_moments(const Track& track);

// The frame no wider than 360 pixels with `box` drawn in, below it the box enlarged and what it
// shows, as PNG.
std::string evidence_png(const cv::Mat3b& frame, const PixelBox& box, const std::string& clip,
                         const EvidenceMoment& moment);

}  // namespace sondeline
