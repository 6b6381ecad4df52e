#include "footage/stills.hpp"

#include <algorithm>
#include <cmath>

#include <opencv2/imgcodecs.hpp>

#include "footage/seeking_decoder.hpp"

namespace sondeline {
namespace {

constexpr int kWidest_px = 480;
constexpr int kQuality = 70;  // of libjpeg's hundred
constexpr double kNear_s = 0.5;

bool time_line_holds(const ClipHeaders& headers, const ClipDescription& as_read) {
    if (headers.duration_s <= 0.0 || as_read.duration_s <= 0.0) return true;
    const double off_s = std::abs(headers.duration_s - as_read.duration_s);
    return off_s <= std::max(1.0, 0.01 * as_read.duration_s);
}

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
    auto decoder = SeekingDecoder::open(clip);
    if (!decoder || !time_line_holds(decoder->headers(), as_read)) return stills;
    for (const double time_s : times_s) {
        if (!decoder->go_to(time_s, {0.0, kNear_s})) continue;
        std::string jpeg = jpeg_of(decoder->frame());
        if (!jpeg.empty()) stills.push_back({*decoder->time_s(), std::move(jpeg)});
    }
    return stills;
}

}  // namespace sondeline
