#include "service/seen_files.hpp"

#include <algorithm>
#include <chrono>

#include <fmt/format.h>
#include <sys/stat.h>

#include "service/track_bytes.hpp"
#include "service/whole_file.hpp"

namespace sondeline {

namespace fs = std::filesystem;

namespace {

constexpr std::string_view heading = "sondeline seen 1\n";
constexpr std::size_t most_note_bytes = 1U << 16U;

fs::path note_of(const TrackCache& cache, const FileMark& mark) {
    return cache.folder / "seen" / fmt::format("{:016x}", checksum(mark.text));
}

}  // namespace

bool is_sha256(std::string_view text) {
    return text.size() == 64 && std::ranges::all_of(text, [](char c) {
               return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'f');
           });
}

std::optional<FileMark> mark_of(const fs::path& file) {
    using namespace std::chrono;
    std::error_code error;
    const fs::path whole = fs::canonical(file, error);  // one clip under any link
    struct stat status {};
    if (error || stat(whole.c_str(), &status) != 0 || !S_ISREG(status.st_mode)) return std::nullopt;
    FileMark mark;
    mark.text = fmt::format("{} {} {} {}.{:09} {}.{:09} {}", status.st_dev, status.st_ino,
                            status.st_size, status.st_mtim.tv_sec, status.st_mtim.tv_nsec,
                            status.st_ctim.tv_sec, status.st_ctim.tv_nsec, whole.string());
    const auto now_s = duration_cast<seconds>(system_clock::now().time_since_epoch()).count();
    const auto changed_s = std::max(status.st_mtim.tv_sec, status.st_ctim.tv_sec);
    mark.settled = now_s - changed_s > 2;
    return mark;
}

std::optional<std::string> seen_sha256(const TrackCache& cache, const FileMark& mark) {
    const auto note = read_whole(note_of(cache, mark), most_note_bytes);
    if (!note || !note->starts_with(heading)) return std::nullopt;
    const std::string_view rest = std::string_view(*note).substr(heading.size());
    if (rest.size() != 65 + mark.text.size() || rest.substr(65) != mark.text) return std::nullopt;
    const std::string_view sha256 = rest.substr(0, 64);
    return is_sha256(sha256) ? std::optional(std::string(sha256)) : std::nullopt;
}

void remember_sha256(const TrackCache& cache, const FileMark& mark, const std::string& sha256) {
    if (!mark.settled || !is_sha256(sha256)) return;
    std::error_code error;
    fs::create_directories(cache.folder / "seen", error);
    if (error) return;
    write_whole(note_of(cache, mark), fmt::format("{}{} {}", heading, sha256, mark.text));
}

}  // namespace sondeline
