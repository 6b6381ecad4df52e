// A clip open for going to a time and decoding the frame shown there.
#pragma once

#include <filesystem>
#include <memory>
#include <optional>

#include "footage/codec.hpp"

namespace sondeline {

// How far the frame that is taken may lie before and after the time that is asked for.
struct SeekWindow {
    double before_s = 0.0;
    double after_s = 0.0;
};

// One thread, a few decoded frames of memory. Times count from the clip's first frame.
class SeekingDecoder {
  public:
    // Empty when the clip cannot be opened or its first frame cannot be decoded.
    static std::optional<SeekingDecoder> open(const std::filesystem::path& clip);

    const ClipHeaders& headers() const { return headers_; }

    // Brings the first whole frame of the window to hand: seeks to the key frame before it, and
    // further back where the container lands behind, then decodes at most a minute's worth of
    // frames. False when no frame of the window can be had, as where a clip's time leaps.
    bool go_to(double time_s, const SeekWindow& window);

    // The frame at hand, and its time where it has a stamp.
    const AVFrame& frame() const { return *frame_; }
    std::optional<double> time_s() const;

  private:
    SeekingDecoder() = default;
    std::optional<double> stamp_s() const;
    bool seek(double time_s);
    bool next();
    bool decode_to(double time_s, const SeekWindow& window, bool any_start);

    Container container_;
    ClipHeaders headers_;
    CodecHandle codec_;
    std::unique_ptr<AVPacket, PacketFreer> packet_{av_packet_alloc()};
    std::unique_ptr<AVFrame, FrameFreer> frame_{av_frame_alloc()};
    double origin_s_ = 0.0;  // stamp of the first frame
    bool draining_ = false;
};

}  // namespace sondeline
