#include <fstream>
#include <memory>
#include <vector>

#include <fmt/format.h>
#include <openssl/evp.h>

#include "sondeline/footage.hpp"

#include "footage/container.hpp"

namespace sondeline {
namespace {

struct DigestFreer {
    void operator()(EVP_MD_CTX* context) const { EVP_MD_CTX_free(context); }
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
    const std::unique_ptr<EVP_MD_CTX, DigestFreer> sha{EVP_MD_CTX_new()};
    if (!file || sha == nullptr || EVP_DigestInit_ex(sha.get(), EVP_sha256(), nullptr) != 1) {
        return result;
    }
    std::vector<char> block(1 << 18);
    while (file) {
        file.read(block.data(), static_cast<std::streamsize>(block.size()));
        const auto got = static_cast<std::size_t>(file.gcount());
        if (EVP_DigestUpdate(sha.get(), block.data(), got) != 1) return result;
        result.bytes += got;
    }
    std::uint8_t hash[32];
    if (file.bad() || EVP_DigestFinal_ex(sha.get(), hash, nullptr) != 1) return result;
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
