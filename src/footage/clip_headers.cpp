#include <array>
#include <fstream>

#include "sondeline/footage.hpp"

#include "footage/container.hpp"

namespace sondeline {

namespace {

// The first piece of the picture that the index places beyond the end of the file.
void compare_with_index(const Container& container, std::int64_t file_bytes, HeaderCheck& check) {
    AVStream* stream = container.stream;
    const int entries = avformat_index_get_entries_count(stream);
    for (int i = 0; i < entries; ++i) {
        const AVIndexEntry* entry = avformat_index_get_entry(stream, i);
        if (entry->pos + entry->size <= file_bytes) continue;
        check.cut_off = true;
        const double time_s = static_cast<double>(entry->timestamp) * av_q2d(stream->time_base);
        if (time_s >= 0.0) check.cut_off_at_s = time_s;
        return;
    }
}

// A RIFF file (AVI) says in its second word how many bytes follow that word.
void compare_with_riff_size(const std::filesystem::path& clip, std::int64_t file_bytes,
                            HeaderCheck& check) {
    std::ifstream in(clip, std::ios::binary);
    std::array<unsigned char, 8> head{};
    in.read(reinterpret_cast<char*>(head.data()), head.size());
    if (!in || std::string_view(reinterpret_cast<const char*>(head.data()), 4) != "RIFF") return;
    std::int64_t promised = 8;
    for (int i = 0; i < 4; ++i) promised += static_cast<std::int64_t>(head[4 + i]) << (8 * i);
    if (promised > file_bytes) check.cut_off = true;
}

}  // namespace

HeaderCheck check_headers(const std::filesystem::path& clip) {
    HeaderCheck check;
    const Container container = open_container(clip);
    if (container.stream == nullptr) {
        check.why_not = container.why_not;
        check.what_to_do = container.what_to_do;
        return check;
    }
    const ClipHeaders headers = headers_of(container);
    check.duration_s = headers.duration_s;
    check.creation_time_s = headers.creation_time_s;
    std::error_code error;
    const auto bytes = static_cast<std::int64_t>(std::filesystem::file_size(clip, error));
    if (error) return check;
    compare_with_index(container, bytes, check);
    if (!check.cut_off) compare_with_riff_size(clip, bytes, check);
    return check;
}

}  // namespace sondeline
