#include "footage/codec.hpp"

namespace sondeline {

CodecHandle open_codec(const Container& container, AVDiscard passed_over) {
    CodecHandle codec{avcodec_alloc_context3(container.codec)};
    if (codec == nullptr) return nullptr;
    if (avcodec_parameters_to_context(codec.get(), container.stream->codecpar) < 0) return nullptr;
    codec->pkt_timebase = container.stream->time_base;
    codec->thread_count = 1;
    codec->max_pixels = static_cast<std::int64_t>(kLongestSide_px) * kLongestSide_px;
    codec->skip_loop_filter = AVDISCARD_ALL;
    codec->skip_frame = passed_over;
    if (avcodec_open2(codec.get(), container.codec, nullptr) < 0) return nullptr;
    return codec;
}

}  // namespace sondeline
