// The first pass over a clip: key frames only, to see where overlay text stands.
#pragma once

#include <filesystem>
#include <limits>
#include <vector>

#include "footage/frames.hpp"
#include "footage/overlay.hpp"

namespace sondeline {

// A part of a clip, both ends included.
struct TimeSpan {
    double from_s = 0.0;
    double to_s = std::numeric_limits<double>::infinity();
    bool holds(double time_s) const { return time_s >= from_s && time_s <= to_s; }
};

struct KeptFrame {
    double time_s = 0.0;
    cv::Mat1b luma;
    bool damaged = false;
};

// Frames kept evenly from a stream of unknown length: when there are too many, every second one is
// let go and only every second one of those to come is kept.
class EvenlyKept {
  public:
    explicit EvenlyKept(std::size_t most) : most_(most) {}
    void offer(double time_s, const cv::Mat1b& luma);
    std::vector<KeptFrame> take() { return std::move(kept_); }

  private:
    std::size_t most_;
    std::size_t stride_ = 1;
    std::size_t offered_ = 0;
    std::vector<KeptFrame> kept_;
};

// How many whole pictures of this size may be kept at a time.
std::size_t pictures_in_memory(cv::Size size);

struct LookAround {
    std::vector<KeptFrame> key_frames;  // spread over the clip
    bool interlaced = false;
};

// Decodes about a twentieth of the clip. Empty when no key frame within the span can be decoded.
LookAround look_around(const std::filesystem::path& clip, const ClipHeaders& headers,
                       const TimeSpan& span);

// Sums the gradients of frames that differ, and keeps the sampled frames from the start of the
// clip that had to be decoded for it because key frames were too few.
struct Located {
    std::vector<TextLine> lines;   // best first
    std::vector<KeptFrame> start;  // sampled frames already taken from `frames`, in order
};

// Looks at the key frames, then, as long as too few different scenes were among them, at the first
// frames of the span that `frames` gives; at worst decodes the clip once more for it.
Located locate_overlay(const LookAround& look, FrameSource& frames,
                       const std::filesystem::path& clip, const TimeSpan& span);

}  // namespace sondeline
