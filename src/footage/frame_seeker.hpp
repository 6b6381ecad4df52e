// Single frames of a clip, in colour, found by seeking.
#pragma once

#include <filesystem>
#include <memory>
#include <optional>

#include <opencv2/core.hpp>

#include "footage/seeking_decoder.hpp"

namespace sondeline {

// A clip open for looking at frames here and there. Bounded memory: a few decoded pictures.
class FrameSeeker {
  public:
    // Empty when the clip cannot be opened or its first frame cannot be decoded.
    static std::optional<FrameSeeker> open(const std::filesystem::path& clip);

    // The frame shown at `time_s` (from the clip's first frame, as Frame::time_s) in BGR at its
    // stored size; empty when no frame can be found within `tolerance_s` of it, as where a clip's
    // time leaps. Cost: decoding from the key frame before it.
    std::optional<cv::Mat3b> at(double time_s, double tolerance_s);

  private:
    explicit FrameSeeker(SeekingDecoder decoder) : decoder_(std::move(decoder)) {}
    std::optional<cv::Mat3b> picture();

    SeekingDecoder decoder_;
    std::unique_ptr<SwsContext, ScalerFreer> scaler_;
};

}  // namespace sondeline
