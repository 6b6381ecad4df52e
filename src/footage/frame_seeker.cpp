#include "footage/frame_seeker.hpp"

namespace sondeline {

std::optional<FrameSeeker> FrameSeeker::open(const std::filesystem::path& clip) {
    auto decoder = SeekingDecoder::open(clip);
    if (!decoder) return std::nullopt;
    return FrameSeeker(std::move(*decoder));
}

std::optional<cv::Mat3b> FrameSeeker::at(double time_s, double tolerance_s) {
    if (!decoder_.go_to(time_s, {tolerance_s, tolerance_s})) return std::nullopt;
    return picture();
}

std::optional<cv::Mat3b> FrameSeeker::picture() {
    const AVFrame& frame = decoder_.frame();
    scaler_.reset(sws_getCachedContext(scaler_.release(), frame.width, frame.height,
                                       static_cast<AVPixelFormat>(frame.format), frame.width,
                                       frame.height, AV_PIX_FMT_BGR24, SWS_POINT | SWS_ACCURATE_RND,
                                       nullptr, nullptr, nullptr));
    if (scaler_ == nullptr) return std::nullopt;
    cv::Mat3b colours(frame.height, frame.width);
    std::uint8_t* planes[4] = {colours.data, nullptr, nullptr, nullptr};
    const int strides[4] = {static_cast<int>(colours.step), 0, 0, 0};
    if (sws_scale(scaler_.get(), frame.data, frame.linesize, 0, frame.height, planes, strides) <
        0) {
        return std::nullopt;
    }
    return colours;
}

}  // namespace sondeline
