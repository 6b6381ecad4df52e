// Opening a footage file with libavformat, and the headers it carries. The only header of this
// stage that shows libav's types.
#pragma once

#include <filesystem>
#include <memory>
#include <string>

extern "C" {
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
}

#include "footage/frames.hpp"

namespace sondeline {

struct FormatCloser {
    void operator()(AVFormatContext* format) const { avformat_close_input(&format); }
};
using FormatHandle = std::unique_ptr<AVFormatContext, FormatCloser>;

// A container whose video stream has been found. Either `format` and `stream` are set, or the
// words say why not.
struct Container {
    FormatHandle format;
    AVStream* stream = nullptr;
    const AVCodec* codec = nullptr;
    std::string why_not;
    std::string what_to_do;
};

Container open_container(const std::filesystem::path& clip);

ClipHeaders headers_of(const Container& container);

}  // namespace sondeline
