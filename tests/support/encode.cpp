#include "support/encode.hpp"

#include <cstdio>
#include <stdexcept>

#include <fmt/format.h>

namespace sondeline::support {

namespace {

std::string quoted(const std::string& word) {
    std::string text = "'";
    for (const char letter : word) {
        if (letter == '\'') {
            text += "'\\''";
        } else {
            text += letter;
        }
    }
    return text + "'";
}

std::string codec_options(const Encoding& encoding) {
    const std::string rate =
        fmt::format(" -b:v {0}k -maxrate {1}k -bufsize {1}k -g {2}", encoding.kbit_per_s,
                    encoding.kbit_per_s * 2, encoding.key_interval);
    const std::string preset = encoding.thorough ? "medium" : "veryfast";
    switch (encoding.codec) {
        case Codec::h264:
            return "libx264 -preset " + preset + " -bf 3 -pix_fmt yuv420p" + rate +
                   (encoding.interlaced ? " -x264-params interlaced=1:tff=1" : "");
        case Codec::h264_baseline:
            return "libx264 -preset " + preset + " -profile:v baseline -pix_fmt yuv420p" + rate;
        case Codec::hevc:
            return "libx265 -preset ultrafast -x265-params pools=1:frame-threads=1:log-level=none "
                   "-pix_fmt yuv420p" +
                   rate;
        case Codec::mpeg2: return "mpeg2video -bf 2 -pix_fmt yuv420p" + rate;
        case Codec::mpeg4:
            return "mpeg4 -pix_fmt yuv420p" + rate + (encoding.thorough ? " -mbd rd" : "");
        case Codec::msmpeg4: return "msmpeg4 -pix_fmt yuv420p" + rate;
        case Codec::mjpeg: break;
    }
    return fmt::format("mjpeg -pix_fmt yuvj420p -q:v {}", encoding.quality);
}

std::string command(const Encoding& encoding, const std::filesystem::path& clip) {
    const std::string created = encoding.creation_time.empty()
                                    ? ""
                                    : " -metadata creation_time=" + quoted(encoding.creation_time);
    return fmt::format(
        "ffmpeg -loglevel error -nostdin -y -f rawvideo -pix_fmt yuv420p -s {}x{} -r {} -i pipe:0 "
        "-an -map_metadata -1{} -threads 1 -c:v {} -fflags +bitexact -flags:v +bitexact{} {}",
        encoding.width, encoding.height, quoted(encoding.rate), created, codec_options(encoding),
        encoding.interlaced ? "+ilme+ildct -top 1" : "", quoted("file:" + clip.string()));
}

void write_plane(std::FILE* pipe, const cv::Mat1b& plane) {
    for (int row = 0; row < plane.rows; ++row) {
        const auto wanted = static_cast<std::size_t>(plane.cols);
        if (std::fwrite(plane.ptr(row), 1, wanted, pipe) != wanted) {
            throw std::runtime_error("encode: ffmpeg does not take the frames");
        }
    }
}

}  // namespace

Encoder::Encoder(const Encoding& encoding, const std::filesystem::path& clip)
    : pipe_(popen(command(encoding, clip).c_str(), "w")) {
    if (pipe_ == nullptr) throw std::runtime_error("encode: cannot start ffmpeg");
}

Encoder::~Encoder() {
    if (pipe_ != nullptr) pclose(pipe_);
}

void Encoder::add(const Frame& frame) {
    write_plane(pipe_, frame.y);
    write_plane(pipe_, frame.u);
    write_plane(pipe_, frame.v);
}

void Encoder::finish() {
    std::FILE* pipe = pipe_;
    pipe_ = nullptr;
    if (pclose(pipe) != 0) throw std::runtime_error("encode: ffmpeg failed");
}

}  // namespace sondeline::support
