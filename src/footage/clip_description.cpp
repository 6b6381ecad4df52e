#include <fstream>
#include <memory>
#include <vector>

#include <fmt/format.h>

extern "C" {
#include <libavutil/mem.h>
#include <libavutil/sha.h>
}

#include "sondeline/footage.hpp"

#include "footage/container.hpp"

namespace sondeline {
namespace {

struct ShaFreer {
    void operator()(AVSHA* sha) const { av_free(sha); }
};

struct FileDigest {
    std::string sha256;  // empty when the file could not be read to its end
    std::uint64_t bytes = 0;
};

FileDigest digest(const std::filesystem::path& path) {
    FileDigest result;
    std::error_code none;
    if (!std::filesystem::is_regular_file(path, none)) return result;
    std::ifstream file(path, std::ios::binary);
    const std::unique_ptr<AVSHA, ShaFreer> sha{av_sha_alloc()};
    if (!file || sha == nullptr || av_sha_init(sha.get(), 256) < 0) return result;
    std::vector<char> block(1 << 18);
    while (file) {
        file.read(block.data(), static_cast<std::streamsize>(block.size()));
        const auto got = static_cast<std::size_t>(file.gcount());
        av_sha_update(sha.get(), reinterpret_cast<const std::uint8_t*>(block.data()), got);
        result.bytes += got;
    }
    if (file.bad()) return result;
    std::uint8_t hash[32];
    av_sha_final(sha.get(), hash);
    for (const std::uint8_t byte : hash) result.sha256 += fmt::format("{:02x}", byte);
    return result;
}

}  // namespace

std::string file_sha256(const std::filesystem::path& file) {
    return digest(file).sha256;
}

ClipDescription describe_clip(const std::filesystem::path& clip) {
    ClipDescription description;
    description.name = clip.filename().string();
    const FileDigest file = digest(clip);
    description.sha256 = file.sha256;
    description.bytes = file.bytes;
    const Container container = open_container(clip);
    if (container.stream == nullptr) {
        description.damaged = true;
        return description;
    }
    const ClipHeaders headers = headers_of(container);
    description.container = headers.container;
    description.codec = headers.codec;
    description.width = headers.width;
    description.height = headers.height;
    description.frames = headers.frames;
    description.duration_s = headers.duration_s;
    description.frame_rate = headers.frame_rate;
    description.interlaced = headers.interlaced;
    description.creation_time_s = headers.creation_time_s;
    return description;
}

}  // namespace sondeline
