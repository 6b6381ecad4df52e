#include "footage/frames.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "footage/codec.hpp"
#include "footage/frame_clock.hpp"

extern "C" {
#include <libavutil/pixdesc.h>
}

namespace sondeline {
namespace {

// Whether plane 0 is an 8-bit luma plane that can be looked at as it is.
bool has_plain_luma(const AVFrame& frame) {
    const AVPixFmtDescriptor* format =
        av_pix_fmt_desc_get(static_cast<AVPixelFormat>(frame.format));
    if (format == nullptr || frame.linesize[0] < frame.width) return false;
    constexpr std::uint64_t kOther = AV_PIX_FMT_FLAG_RGB | AV_PIX_FMT_FLAG_PAL |
                                     AV_PIX_FMT_FLAG_BITSTREAM | AV_PIX_FMT_FLAG_HWACCEL;
    const AVComponentDescriptor& luma = format->comp[0];
    return (format->flags & kOther) == 0 && luma.plane == 0 && luma.step == 1 && luma.depth == 8 &&
           luma.shift == 0 && luma.offset == 0;
}

AVDiscard passed_over_by(const FrameChoice& choice) {
    // Not AVStream::discard: libavformat 59 then gives MP4 packets the stamps of others.
    if (choice.key_frames_only) return AVDISCARD_NONKEY;
    return choice.per_s > 0.0 ? AVDISCARD_NONREF : AVDISCARD_DEFAULT;
}

bool every_frame_is_key(AVCodecID codec) {
    const AVCodecDescriptor* description = avcodec_descriptor_get(codec);
    return description != nullptr && (description->props & AV_CODEC_PROP_INTRA_ONLY) != 0;
}

}  // namespace

struct FrameSource::Decoder {
    FrameChoice choice;
    Container container;
    ClipHeaders headers;
    CodecHandle codec;
    std::unique_ptr<AVPacket, PacketFreer> packet{av_packet_alloc()};
    std::unique_ptr<AVFrame, FrameFreer> frame{av_frame_alloc()};
    std::unique_ptr<SwsContext, ScalerFreer> scaler;
    cv::Mat1b converted;
    FrameReport report;
    FrameClock clock;
    SampleGrid packet_grid;  // chooses packets where every frame is a key frame
    SampleGrid frame_grid;   // chooses decoded frames
    bool intra_only = false;
    bool chosen_by_packet = false;
    bool draining = false;
    bool finished = false;
    int errors_in_a_row = 0;
    std::int64_t decoded = 0;

    explicit Decoder(const FrameChoice& chosen)
        : choice(chosen), packet_grid(chosen.per_s), frame_grid(chosen.per_s) {}

    bool packet_is_wanted();
    void feed();
    std::optional<Frame> take();
    cv::Mat1b luma();
    void decode_more_if_too_few(double time_s);
    void finish();
};

// Where every frame is a key frame, and in the key-frame pass, packets that no sample needs are
// never decoded.
bool FrameSource::Decoder::packet_is_wanted() {
    if (choice.per_s <= 0.0) return true;
    const bool key = (packet->flags & AV_PKT_FLAG_KEY) != 0;
    if (choice.key_frames_only ? !key && !intra_only : !intra_only) return !choice.key_frames_only;
    const std::int64_t stamp = packet->pts != AV_NOPTS_VALUE ? packet->pts : packet->dts;
    if (stamp == AV_NOPTS_VALUE) {
        chosen_by_packet = false;
        return true;
    }
    return packet_grid.is_due(static_cast<double>(stamp) * av_q2d(container.stream->time_base));
}

// Sends one more packet to the decoder, or tells it that there is none.
void FrameSource::Decoder::feed() {
    constexpr int kMostErrorsInARow = 1000;
    const int error = av_read_frame(container.format.get(), packet.get());
    if (error < 0) {
        ++errors_in_a_row;
        const AVIOContext* io = container.format->pb;
        const bool medium = error == AVERROR(EIO) || (io != nullptr && io->error == AVERROR(EIO));
        report.read_error = report.read_error || medium;
        if (error == AVERROR_EOF || medium || errors_in_a_row > kMostErrorsInARow ||
            (io != nullptr && avio_feof(container.format->pb) != 0)) {
            draining = true;
            errors_in_a_row = 0;
            avcodec_send_packet(codec.get(), nullptr);
        }
        return;
    }
    errors_in_a_row = 0;
    if (packet->stream_index == container.stream->index) {
        ++report.frames;
        if (packet_is_wanted() && avcodec_send_packet(codec.get(), packet.get()) < 0) {
            ++report.rejected_packets;
        }
    }
    av_packet_unref(packet.get());
}

cv::Mat1b FrameSource::Decoder::luma() {
    if (has_plain_luma(*frame)) {
        return {frame->height, frame->width, frame->data[0],
                static_cast<std::size_t>(frame->linesize[0])};
    }
    scaler.reset(sws_getCachedContext(
        scaler.release(), frame->width, frame->height, static_cast<AVPixelFormat>(frame->format),
        frame->width, frame->height, AV_PIX_FMT_GRAY8, SWS_POINT, nullptr, nullptr, nullptr));
    if (scaler == nullptr) return {};
    converted.create(frame->height, frame->width);
    std::uint8_t* planes[4] = {converted.data, nullptr, nullptr, nullptr};
    const int strides[4] = {static_cast<int>(converted.step), 0, 0, 0};
    if (sws_scale(scaler.get(), frame->data, frame->linesize, 0, frame->height, planes, strides) <
        0) {
        return {};
    }
    return converted;
}

// Some encoders let so many frames go unreferenced that passing over them leaves too few samples.
void FrameSource::Decoder::decode_more_if_too_few(double time_s) {
    constexpr double kWatch_s = 2.0;
    constexpr double kEnough = 0.75;  // of the wanted rate: 25 frames/s with two of three left out
    if (codec->skip_frame != AVDISCARD_NONREF || time_s < kWatch_s) return;
    const bool others_exist = report.frames > decoded + decoded / 8;
    if (others_exist && static_cast<double>(decoded) < kEnough * choice.per_s * time_s) {
        codec->skip_frame = AVDISCARD_DEFAULT;
    }
}

// The decoded frame in `frame`, if it is one of those wanted.
std::optional<Frame> FrameSource::Decoder::take() {
    if (decoded == 0) {  // what the container says need not be so
        headers.width = frame->width;
        headers.height = frame->height;
    }
    if (frame->width != headers.width || frame->height != headers.height) {
        ++report.other_sizes;
        return std::nullopt;
    }
    std::optional<double> stamp_s;
    if (frame->best_effort_timestamp != AV_NOPTS_VALUE) {
        stamp_s =
            static_cast<double>(frame->best_effort_timestamp) * av_q2d(container.stream->time_base);
    }
    const double time_s = clock.time_of(stamp_s, headers.frame_rate, report);
    ++decoded;
    decode_more_if_too_few(time_s);
    Frame out;
    out.damaged = frame->decode_error_flags != 0 || (frame->flags & AV_FRAME_FLAG_CORRUPT) != 0;
    out.interlaced = frame->interlaced_frame != 0;
    report.damaged_frames += out.damaged ? 1 : 0;
    report.interlaced = report.interlaced || out.interlaced;
    if (!chosen_by_packet && !frame_grid.is_due(time_s)) return std::nullopt;
    out.time_s = time_s;
    out.key = frame->key_frame != 0;
    out.luma = luma();
    if (out.luma.empty()) return std::nullopt;
    return out;
}

void FrameSource::Decoder::finish() {
    finished = true;
    constexpr double kTolerance_s = 1.0;
    constexpr double kTolerance = 0.01;
    if (choice.key_frames_only) return;  // the last key frame is not the end
    const double missing_s = headers.duration_s - report.last_time_s;
    if (missing_s > std::max(kTolerance_s, kTolerance * headers.duration_s)) {
        report.missing_s = missing_s;
    }
}

FrameSource::Opened FrameSource::open(const std::filesystem::path& clip,
                                      const FrameChoice& choice) {
    Opened opened;
    auto decoder = std::make_unique<Decoder>(choice);
    decoder->container = open_container(clip);
    if (decoder->container.format == nullptr || decoder->container.stream == nullptr) {
        opened.why_not = decoder->container.why_not;
        opened.what_to_do = decoder->container.what_to_do;
        return opened;
    }
    decoder->headers = headers_of(decoder->container);
    decoder->intra_only = every_frame_is_key(decoder->container.stream->codecpar->codec_id);
    decoder->codec = open_codec(decoder->container, passed_over_by(choice));
    if (decoder->codec == nullptr || decoder->packet == nullptr || decoder->frame == nullptr) {
        opened.why_not = "Its video could not be decoded: the headers make no sense.";
        opened.what_to_do = "Export it again from the recorder as H.264 in MP4.";
        return opened;
    }
    decoder->chosen_by_packet =
        choice.per_s > 0.0 && (choice.key_frames_only || decoder->intra_only);
    opened.source = FrameSource(std::move(decoder));
    return opened;
}

FrameSource::FrameSource(std::unique_ptr<Decoder> decoder) : decoder_(std::move(decoder)) {}
FrameSource::FrameSource(FrameSource&&) noexcept = default;
FrameSource& FrameSource::operator=(FrameSource&&) noexcept = default;
FrameSource::~FrameSource() = default;

const ClipHeaders& FrameSource::headers() const {
    return decoder_->headers;
}
const FrameReport& FrameSource::report() const {
    return decoder_->report;
}

double FrameSource::share_read() const {
    AVIOContext* io = decoder_->container.format->pb;
    if (decoder_->finished || io == nullptr) return 1.0;
    const auto size = static_cast<double>(avio_size(io));
    if (size <= 0.0) return 0.0;
    return std::clamp(static_cast<double>(avio_tell(io)) / size, 0.0, 1.0);
}

std::optional<Frame> FrameSource::next() {
    constexpr int kMostErrorsWhileDraining = 100;
    int errors = 0;
    while (!decoder_->finished) {
        const int got = avcodec_receive_frame(decoder_->codec.get(), decoder_->frame.get());
        if (got == 0) {
            if (std::optional<Frame> frame = decoder_->take()) return frame;
        } else if (!decoder_->draining) {
            decoder_->feed();
        } else if (got == AVERROR_EOF || got == AVERROR(EAGAIN) ||
                   ++errors > kMostErrorsWhileDraining) {
            decoder_->finish();
        }
    }
    return std::nullopt;
}

}  // namespace sondeline
