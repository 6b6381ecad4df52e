#include "footage/container.hpp"

#include <algorithm>
#include <system_error>

#include <fmt/format.h>

extern "C" {
#include <libavutil/dict.h>
#include <libavutil/log.h>
#include <libavutil/parseutils.h>
}

namespace sondeline {
namespace {

// Containers that cameras and recorders write. Play lists, concatenations, image sequences and
// devices, which would open further files, are not among them.
constexpr const char* kContainers =
    "mov,mp4,matroska,webm,avi,mpeg,mpegts,mpegvideo,asf,flv,dv,ogg,mxf,nut,h264,hevc,m4v";

struct OpenOptions {
    AVDictionary* entries = nullptr;
    OpenOptions() {
        av_dict_set(&entries, "protocol_whitelist", "file", 0);
        av_dict_set(&entries, "format_whitelist", kContainers, 0);
        av_dict_set(&entries, "max_streams", "64", 0);
    }
    OpenOptions(const OpenOptions&) = delete;
    OpenOptions& operator=(const OpenOptions&) = delete;
    ~OpenOptions() { av_dict_free(&entries); }
};

Container refused(std::string why_not, std::string what_to_do) {
    Container container;
    container.why_not = std::move(why_not);
    container.what_to_do = std::move(what_to_do);
    return container;
}

Container missing_or_no_file(const std::filesystem::path& clip) {
    std::error_code error;
    if (!std::filesystem::exists(clip, error)) {
        return refused("The file does not exist or cannot be reached.",
                       "Check the name and the medium it lies on.");
    }
    return refused("It is not a file.", "Give a video file.");
}

Container unreadable(int error) {
    if (error == AVERROR(EACCES) || error == AVERROR(EPERM)) {
        return refused("The file may not be read.", "Give yourself the right to read it.");
    }
    if (error == AVERROR(EIO)) {
        return refused("The medium gave an error while the file was read.",
                       "Copy the file again from the recorder.");
    }
    return refused(
        "The file could not be opened as video: it is no video, of a kind not known "
        "here, or cut off before its index was written.",
        "Play it on the recorder. If it plays there, export it again as MP4 or MKV.");
}

std::optional<double> creation_time_s(const Container& container) {
    constexpr double kEarliest = 315532800.0;  // 1980: a clock never set is no creation time
    for (AVDictionary* words : {container.format->metadata, container.stream->metadata}) {
        const AVDictionaryEntry* entry = av_dict_get(words, "creation_time", nullptr, 0);
        std::int64_t microseconds = 0;
        if (entry != nullptr && av_parse_time(&microseconds, entry->value, 0) >= 0) {
            const double time_s = static_cast<double>(microseconds) / 1e6;
            if (time_s > kEarliest) return time_s;
        }
    }
    return std::nullopt;
}

std::string container_name(const AVInputFormat& format) {
    const std::string name = format.name;
    if (name.starts_with("mov,")) return "mp4";
    return name.substr(0, name.find(','));
}

}  // namespace

Container open_container(const std::filesystem::path& clip) {
    av_log_set_level(AV_LOG_QUIET);  // what goes wrong is told by findings
    std::error_code none;
    if (!std::filesystem::is_regular_file(clip, none)) return missing_or_no_file(clip);
    if (std::filesystem::file_size(clip, none) == 0) {
        return refused("The file is empty.", "Copy it again from the recorder.");
    }

    OpenOptions options;
    AVFormatContext* raw = nullptr;
    const std::string address = "file:" + clip.string();
    if (const int error = avformat_open_input(&raw, address.c_str(), nullptr, &options.entries);
        error < 0) {
        return unreadable(error);
    }
    Container container;
    container.format.reset(raw);
    if (avformat_find_stream_info(raw, nullptr) < 0) return unreadable(AVERROR_INVALIDDATA);
    const int index = av_find_best_stream(raw, AVMEDIA_TYPE_VIDEO, -1, -1, &container.codec, 0);
    if (index == AVERROR_DECODER_NOT_FOUND) {
        return refused("Its video is in a format that cannot be decoded here.",
                       "Export it again from the recorder as H.264 in MP4.");
    }
    if (index < 0) return refused("It holds no video.", "Give a video file.");
    container.stream = raw->streams[index];
    const AVCodecParameters& video = *container.stream->codecpar;
    if (std::max(video.width, video.height) > kLongestSide_px) {
        return refused(fmt::format("Its picture is {} x {} pixels; more than {} a side is not "
                                   "decoded.",
                                   video.width, video.height, kLongestSide_px),
                       "Export it again at the size at which it was recorded.");
    }
    for (unsigned i = 0; i < raw->nb_streams; ++i) {
        if (static_cast<int>(i) != index) raw->streams[i]->discard = AVDISCARD_ALL;
    }
    return container;
}

ClipHeaders headers_of(const Container& container) {
    const AVStream& stream = *container.stream;
    const AVCodecParameters& video = *stream.codecpar;
    ClipHeaders headers;
    headers.container = container_name(*container.format->iformat);
    headers.codec = avcodec_get_name(video.codec_id);
    headers.width = video.width;
    headers.height = video.height;
    if (stream.duration > 0) {
        headers.duration_s = static_cast<double>(stream.duration) * av_q2d(stream.time_base);
    } else if (container.format->duration > 0) {
        headers.duration_s = static_cast<double>(container.format->duration) / AV_TIME_BASE;
    }
    const AVRational rate =
        stream.avg_frame_rate.num > 0 ? stream.avg_frame_rate : stream.r_frame_rate;
    if (rate.num > 0 && rate.den > 0) headers.frame_rate = av_q2d(rate);
    headers.frames = stream.nb_frames > 0 ? stream.nb_frames : 0;
    headers.interlaced =
        video.field_order != AV_FIELD_UNKNOWN && video.field_order != AV_FIELD_PROGRESSIVE;
    headers.creation_time_s = creation_time_s(container);
    return headers;
}

}  // namespace sondeline
