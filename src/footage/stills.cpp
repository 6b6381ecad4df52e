#include "footage/stills.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include <opencv2/imgcodecs.hpp>

#include "footage/codec.hpp"

namespace sondeline {
namespace {

constexpr int kWidest_px = 480;
constexpr int kQuality = 70;  // of libjpeg's hundred
constexpr double kNear_s = 0.5;
constexpr int kMostFrames = 3600;

bool time_line_holds(const ClipHeaders& headers, const ClipDescription& as_read) {
    if (headers.duration_s <= 0.0 || as_read.duration_s <= 0.0) return true;
    const double off_s = std::abs(headers.duration_s - as_read.duration_s);
    return off_s <= std::max(1.0, 0.01 * as_read.duration_s);
}

// Decodes from wherever it was last sought to.
class Seeker {
  public:
    explicit Seeker(const std::filesystem::path& clip) : container_(open_container(clip)) {
        if (container_.format == nullptr || container_.stream == nullptr) return;
        headers_ = headers_of(container_);
        codec_ = open_codec(container_);
        if (codec_ != nullptr && next()) origin_s_ = stamp_s();
    }

    bool open() const { return origin_s_.has_value(); }
    const ClipHeaders& headers() const { return headers_; }
    const AVFrame& frame() const { return *frame_; }

    // Seconds of the frame at hand, from the clip's first.
    std::optional<double> time_s() const {
        const auto stamp = stamp_s();
        return stamp ? std::optional(*stamp - *origin_s_) : std::nullopt;
    }

    // Brings the first whole frame at or after a time to hand; false when there is none near it.
    bool go_to(double time_s) {
        // Some containers land behind the time they were asked for.
        for (const double early_s : {0.0, 5.0, 30.0}) {
            if (!seek(time_s - early_s)) continue;
            bool first = true;
            for (int frames = 0; frames < kMostFrames && next(); ++frames) {
                const auto here_s = this->time_s();
                if (!here_s) continue;
                if (first && *here_s > time_s + kRounding_s) break;
                first = false;
                const bool whole =
                    frame_->decode_error_flags == 0 && (frame_->flags & AV_FRAME_FLAG_CORRUPT) == 0;
                if (*here_s < time_s - kRounding_s || !whole) continue;
                return *here_s <= time_s + kNear_s;
            }
        }
        return false;
    }

  private:
    static constexpr double kRounding_s = 0.002;  // of containers that count milliseconds

    std::optional<double> stamp_s() const {
        if (frame_->best_effort_timestamp == AV_NOPTS_VALUE) return std::nullopt;
        return static_cast<double>(frame_->best_effort_timestamp) *
               av_q2d(container_.stream->time_base);
    }

    bool seek(double time_s) {
        const double stamp = (*origin_s_ + time_s) / av_q2d(container_.stream->time_base);
        avcodec_flush_buffers(codec_.get());
        draining_ = false;
        return av_seek_frame(container_.format.get(), container_.stream->index,
                             static_cast<std::int64_t>(std::floor(stamp)),
                             AVSEEK_FLAG_BACKWARD) >= 0;
    }

    bool next() {
        for (int errors = 0; errors < kMostFrames;) {
            const int got = avcodec_receive_frame(codec_.get(), frame_.get());
            if (got == 0) return true;
            if (draining_) return false;
            if (av_read_frame(container_.format.get(), packet_.get()) < 0) {
                draining_ = true;
                avcodec_send_packet(codec_.get(), nullptr);
                continue;
            }
            const bool ours = packet_->stream_index == container_.stream->index;
            if (!ours || avcodec_send_packet(codec_.get(), packet_.get()) < 0) ++errors;
            av_packet_unref(packet_.get());
        }
        return false;
    }

    Container container_;
    ClipHeaders headers_;
    CodecHandle codec_;
    std::unique_ptr<AVPacket, PacketFreer> packet_{av_packet_alloc()};
    std::unique_ptr<AVFrame, FrameFreer> frame_{av_frame_alloc()};
    std::optional<double> origin_s_;
    bool draining_ = false;
};

// Even, as most pictures with subsampled colour are, and with square pixels.
cv::Size size_of_still(const AVFrame& frame) {
    const AVRational shape = frame.sample_aspect_ratio;
    const double stretch = shape.num > 0 && shape.den > 0 ? av_q2d(shape) : 1.0;
    const double wide = frame.width * std::clamp(stretch, 0.25, 4.0);
    const double shrink = std::min(1.0, kWidest_px / wide);
    const auto even = [](double px) { return std::max(2, 2 * static_cast<int>(px / 2.0)); };
    return {even(wide * shrink), even(frame.height * shrink)};
}

std::string jpeg_of(const AVFrame& frame) {
    const cv::Size size = size_of_still(frame);
    const std::unique_ptr<SwsContext, ScalerFreer> scaler{
        sws_getContext(frame.width, frame.height, static_cast<AVPixelFormat>(frame.format),
                       size.width, size.height, AV_PIX_FMT_BGR24,
                       SWS_AREA | SWS_ACCURATE_RND | SWS_BITEXACT, nullptr, nullptr, nullptr)};
    if (scaler == nullptr) return "";
    cv::Mat3b picture(size);
    std::uint8_t* planes[4] = {picture.data, nullptr, nullptr, nullptr};
    const int strides[4] = {static_cast<int>(picture.step), 0, 0, 0};
    if (sws_scale(scaler.get(), frame.data, frame.linesize, 0, frame.height, planes, strides) < 0) {
        return "";
    }
    std::vector<unsigned char> bytes;
    cv::imencode(".jpg", picture, bytes, {cv::IMWRITE_JPEG_QUALITY, kQuality});
    return {bytes.begin(), bytes.end()};
}

}  // namespace

std::vector<Still> take_stills(const std::filesystem::path& clip, const ClipDescription& as_read,
                               std::span<const double> times_s) {
    std::vector<Still> stills;
    if (times_s.empty()) return stills;
    Seeker seeker(clip);
    if (!seeker.open() || !time_line_holds(seeker.headers(), as_read)) return stills;
    for (const double time_s : times_s) {
        if (!seeker.go_to(time_s)) continue;
        std::string jpeg = jpeg_of(seeker.frame());
        if (!jpeg.empty()) stills.push_back({*seeker.time_s(), std::move(jpeg)});
    }
    return stills;
}

}  // namespace sondeline
