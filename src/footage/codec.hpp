// Decoders of libavcodec, and owners for what it hands out. Shows libav's types, as container.hpp
// does.
#pragma once

#include <memory>

#include "footage/container.hpp"

extern "C" {
#include <libavcodec/avcodec.h>
#include <libswscale/swscale.h>
}

namespace sondeline {

struct CodecCloser {
    void operator()(AVCodecContext* codec) const { avcodec_free_context(&codec); }
};
struct PacketFreer {
    void operator()(AVPacket* packet) const { av_packet_free(&packet); }
};
struct FrameFreer {
    void operator()(AVFrame* frame) const { av_frame_free(&frame); }
};
struct ScalerFreer {
    void operator()(SwsContext* scaler) const { sws_freeContext(scaler); }
};
using CodecHandle = std::unique_ptr<AVCodecContext, CodecCloser>;

// A decoder for the container's video, on one thread, with a bound on the size of pictures; null
// when the headers make no sense. `passed_over` are the frames it need not decode.
CodecHandle open_codec(const Container& container, AVDiscard passed_over = AVDISCARD_DEFAULT);

}  // namespace sondeline
