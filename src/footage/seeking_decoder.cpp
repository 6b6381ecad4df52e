#include "footage/seeking_decoder.hpp"

#include <array>
#include <cmath>

namespace sondeline {

namespace {

constexpr double kRounding_s = 0.002;  // of containers that count milliseconds
constexpr int kMostFrames = 3600;      // decoded in search of one
constexpr int kMostErrors = 500;       // packets in a row that give nothing
// How much earlier than the frame to enter: an index may be wrong, and a stream without one may be
// entered behind the key frame.
constexpr std::array<double, 4> kEarlier_s{0.0, 1.0, 5.0, 30.0};

bool is_whole(const AVFrame& frame) {
    return frame.decode_error_flags == 0 && (frame.flags & AV_FRAME_FLAG_CORRUPT) == 0;
}

}  // namespace

std::optional<SeekingDecoder> SeekingDecoder::open(const std::filesystem::path& clip) {
    SeekingDecoder decoder;
    decoder.container_ = open_container(clip);
    if (decoder.container_.format == nullptr || decoder.container_.stream == nullptr) return {};
    decoder.headers_ = headers_of(decoder.container_);
    decoder.codec_ = open_codec(decoder.container_);
    if (decoder.codec_ == nullptr || decoder.packet_ == nullptr || decoder.frame_ == nullptr ||
        !decoder.next()) {
        return {};
    }
    decoder.origin_s_ = decoder.stamp_s().value_or(0.0);
    return decoder;
}

bool SeekingDecoder::go_to(double time_s, const SeekWindow& window) {
    for (const double earlier_s : kEarlier_s) {
        const bool last_try = earlier_s == kEarlier_s.back();
        if (seek(time_s - earlier_s) && decode_to(time_s, window, last_try)) return true;
    }
    return false;
}

// With `any_start`, a stream that begins behind the time will do.
bool SeekingDecoder::decode_to(double time_s, const SeekWindow& window, bool any_start) {
    bool first = true;
    for (int frames = 0; frames < kMostFrames && next(); ++frames) {
        const auto here_s = this->time_s();
        if (!here_s) continue;
        if (first && !any_start && *here_s > time_s + kRounding_s) return false;
        first = false;
        if (*here_s < time_s - window.before_s - kRounding_s || !is_whole(*frame_)) continue;
        return *here_s <= time_s + window.after_s + kRounding_s;
    }
    return false;
}

std::optional<double> SeekingDecoder::time_s() const {
    const auto stamp = stamp_s();
    return stamp ? std::optional(*stamp - origin_s_) : std::nullopt;
}

std::optional<double> SeekingDecoder::stamp_s() const {
    if (frame_->best_effort_timestamp == AV_NOPTS_VALUE) return std::nullopt;
    return static_cast<double>(frame_->best_effort_timestamp) *
           av_q2d(container_.stream->time_base);
}

bool SeekingDecoder::seek(double time_s) {
    const double stamp = (origin_s_ + time_s) / av_q2d(container_.stream->time_base);
    avcodec_flush_buffers(codec_.get());
    draining_ = false;
    return av_seek_frame(container_.format.get(), container_.stream->index,
                         static_cast<std::int64_t>(std::floor(stamp)), AVSEEK_FLAG_BACKWARD) >= 0;
}

// The next decoded frame comes to hand; false at the end.
bool SeekingDecoder::next() {
    for (int errors = 0; errors < kMostErrors; ++errors) {
        const int got = avcodec_receive_frame(codec_.get(), frame_.get());
        if (got == 0) return true;
        if (got == AVERROR_EOF || draining_) return false;
        if (av_read_frame(container_.format.get(), packet_.get()) < 0) {
            draining_ = true;
            avcodec_send_packet(codec_.get(), nullptr);
            continue;
        }
        const bool ours = packet_->stream_index == container_.stream->index;
        if (ours && avcodec_send_packet(codec_.get(), packet_.get()) >= 0) errors = 0;
        av_packet_unref(packet_.get());
    }
    return false;
}

}  // namespace sondeline
