#include "footage/frame_seeker.hpp"

#include <cmath>

#include "footage/codec.hpp"

namespace sondeline {

namespace {

constexpr int kMostFrames = 1500;  // decoded in search of one
constexpr int kMostErrors = 500;   // packets or frames in a row that give nothing

}  // namespace

struct FrameSeeker::Decoder {
    Container container;
    CodecHandle codec;
    std::unique_ptr<AVPacket, PacketFreer> packet{av_packet_alloc()};
    std::unique_ptr<AVFrame, FrameFreer> frame{av_frame_alloc()};
    std::unique_ptr<SwsContext, ScalerFreer> scaler;
    double first_s = 0.0;  // stamp of the first frame
    bool draining = false;

    bool next();
    std::optional<double> stamp_s() const;
    bool seek(double stamp_s);
    bool find(double from_stamp_s, double stamp_s, double tolerance_s);
    std::optional<cv::Mat3b> picture();
};

// The next decoded frame is in `frame`; false at the end.
bool FrameSeeker::Decoder::next() {
    for (int errors = 0; errors < kMostErrors; ++errors) {
        const int got = avcodec_receive_frame(codec.get(), frame.get());
        if (got == 0) return true;
        if (got == AVERROR_EOF || draining) return false;
        const int error = av_read_frame(container.format.get(), packet.get());
        if (error < 0) {
            draining = true;
            avcodec_send_packet(codec.get(), nullptr);
            continue;
        }
        if (packet->stream_index == container.stream->index) {
            if (avcodec_send_packet(codec.get(), packet.get()) >= 0) errors = 0;
        }
        av_packet_unref(packet.get());
    }
    return false;
}

std::optional<double> FrameSeeker::Decoder::stamp_s() const {
    if (frame->best_effort_timestamp == AV_NOPTS_VALUE) return std::nullopt;
    return static_cast<double>(frame->best_effort_timestamp) * av_q2d(container.stream->time_base);
}

bool FrameSeeker::Decoder::seek(double stamp_s) {
    const auto stamp =
        static_cast<std::int64_t>(std::floor(stamp_s / av_q2d(container.stream->time_base)));
    draining = false;
    avcodec_flush_buffers(codec.get());
    return av_seek_frame(container.format.get(), container.stream->index, stamp,
                         AVSEEK_FLAG_BACKWARD) >= 0;
}

// Decodes on from a place before the frame until it is reached.
bool FrameSeeker::Decoder::find(double from_stamp_s, double stamp_s, double tolerance_s) {
    if (!seek(from_stamp_s)) return false;
    for (int frames = 0; frames < kMostFrames && next(); ++frames) {
        const std::optional<double> now_s = this->stamp_s();
        if (!now_s || *now_s < stamp_s - tolerance_s) continue;
        return *now_s <= stamp_s + tolerance_s;
    }
    return false;
}

std::optional<cv::Mat3b> FrameSeeker::Decoder::picture() {
    scaler.reset(sws_getCachedContext(scaler.release(), frame->width, frame->height,
                                      static_cast<AVPixelFormat>(frame->format), frame->width,
                                      frame->height, AV_PIX_FMT_BGR24, SWS_POINT | SWS_ACCURATE_RND,
                                      nullptr, nullptr, nullptr));
    if (scaler == nullptr) return std::nullopt;
    cv::Mat3b colours(frame->height, frame->width);
    std::uint8_t* planes[4] = {colours.data, nullptr, nullptr, nullptr};
    const int strides[4] = {static_cast<int>(colours.step), 0, 0, 0};
    if (sws_scale(scaler.get(), frame->data, frame->linesize, 0, frame->height, planes, strides) <
        0) {
        return std::nullopt;
    }
    return colours;
}

std::optional<FrameSeeker> FrameSeeker::open(const std::filesystem::path& clip) {
    auto decoder = std::make_unique<Decoder>();
    decoder->container = open_container(clip);
    if (decoder->container.format == nullptr || decoder->container.stream == nullptr) return {};
    decoder->codec = open_codec(decoder->container);
    if (decoder->codec == nullptr || decoder->packet == nullptr || decoder->frame == nullptr ||
        !decoder->next()) {
        return {};
    }
    decoder->first_s = decoder->stamp_s().value_or(0.0);
    return FrameSeeker(std::move(decoder));
}

std::optional<cv::Mat3b> FrameSeeker::at(double time_s, double tolerance_s) {
    const double stamp_s = decoder_->first_s + time_s;
    // An index may be wrong, and a stream without one may be entered behind the key frame.
    for (const double earlier_s : {0.0, 1.0, 4.0, 15.0}) {
        if (decoder_->find(stamp_s - earlier_s, stamp_s, tolerance_s)) return decoder_->picture();
    }
    return std::nullopt;
}

FrameSeeker::FrameSeeker(std::unique_ptr<Decoder> decoder) : decoder_(std::move(decoder)) {}
FrameSeeker::FrameSeeker(FrameSeeker&&) noexcept = default;
FrameSeeker& FrameSeeker::operator=(FrameSeeker&&) noexcept = default;
FrameSeeker::~FrameSeeker() = default;

}  // namespace sondeline
