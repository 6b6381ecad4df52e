#include <algorithm>
#include <chrono>
#include <cstdlib>

#include <fmt/format.h>

#include "service/seen_files.hpp"
#include "service/track_bytes.hpp"
#include "service/whole_file.hpp"

namespace sondeline {

namespace fs = std::filesystem;

namespace {

constexpr std::string_view heading = "sondeline track 2\n";
// Ten hours of footage take 12 MiB.
constexpr std::size_t most_entry_bytes = std::size_t{256} << 20U;

fs::path entry_of(const TrackCache& cache, const std::string& sha256) {
    return cache.folder / "tracks" / cache.reader / (sha256 + ".track");
}

std::string sealed(const TrackCache& cache, const std::string& payload) {
    return fmt::format("{}{}\n{:016x}\n", heading, cache.reader, checksum(payload)) + payload;
}

std::optional<std::string_view> unsealed(const TrackCache& cache, std::string_view bytes) {
    const std::string front = fmt::format("{}{}\n", heading, cache.reader);
    if (!bytes.starts_with(front)) return std::nullopt;
    bytes.remove_prefix(front.size());
    if (bytes.size() < 17) return std::nullopt;
    const std::string_view payload = bytes.substr(17);
    if (bytes.substr(0, 17) != fmt::format("{:016x}\n", checksum(payload))) return std::nullopt;
    return payload;
}

struct KeptFile {
    fs::file_time_type used;
    fs::path path;
    std::uint64_t bytes = 0;
};

// What a file takes on the disk, nearly: blocks are of 4 KiB.
std::uint64_t on_disk(std::uint64_t bytes) {
    constexpr std::uint64_t block = 4096;
    return (bytes + block - 1) / block * block;
}

// Only names that this program gives: a folder named by mistake loses nothing.
bool is_kept_file(const fs::path& file) {
    const std::string stem = file.stem().string();
    if (file.extension() == ".track") return is_sha256(stem);
    return file.parent_path().filename() == "seen" && file.filename().string().size() == 16;
}

std::vector<KeptFile> kept_files(const TrackCache& cache) {
    const auto stale = fs::file_time_type::clock::now() - std::chrono::hours(24);
    std::vector<KeptFile> files;
    std::vector<fs::path> abandoned;
    for (const char* part : {"tracks", "seen"}) {
        std::error_code error;
        fs::recursive_directory_iterator it(cache.folder / part, error);
        for (; !error && it != fs::recursive_directory_iterator(); it.increment(error)) {
            std::error_code gone;
            const auto used = fs::last_write_time(it->path(), gone);
            const auto bytes = gone ? 0 : fs::file_size(it->path(), gone);
            if (gone) continue;
            if (is_kept_file(it->path())) files.push_back({used, it->path(), on_disk(bytes)});
            if (is_half_written(it->path()) && used < stale) abandoned.push_back(it->path());
        }
    }
    std::error_code ignored;
    for (const fs::path& file : abandoned) fs::remove(file, ignored);
    return files;
}

void drop_beyond_bound(const TrackCache& cache) {
    std::vector<KeptFile> files = kept_files(cache);
    std::uint64_t total = 0;
    for (const KeptFile& file : files) total += file.bytes;
    if (total <= cache.most_bytes) return;
    std::ranges::sort(files, [](const KeptFile& a, const KeptFile& b) {
        return a.used != b.used ? a.used < b.used : a.path < b.path;
    });
    for (const KeptFile& file : files) {
        if (total <= cache.most_bytes) return;
        std::error_code ignored;
        fs::remove(file.path, ignored);
        total -= file.bytes;
    }
}

// The medium failed or the file is no clip: another try may go better, and costs little.
bool worth_keeping(const Track& track) {
    return !track.clip.damaged || std::ranges::none_of(track.findings, [](const Finding& finding) {
        return finding.severity == Severity::problem;
    });
}

// Kept under the name that the clip had then; it has this one now.
void rename_clip(Track& track, const std::string& name) {
    for (Finding& finding : track.findings) {
        if (finding.where.file == track.clip.name) finding.where.file = name;
    }
    track.clip.name = name;
}

Track read_and_keep(const TrackCache& cache, const TrackReader& reader, const fs::path& clip,
                    const std::string& sha256, const ReadProgress& progress) {
    const auto before = mark_of(clip);
    Track track = reader(clip, progress);
    const auto after = mark_of(clip);
    const bool unchanged = before && after && before->text == after->text;
    if (unchanged && track.clip.sha256 == sha256 && worth_keeping(track)) keep_track(cache, track);
    return track;
}

}  // namespace

fs::path default_cache_folder() {
    const auto absolute = [](const char* name) {
        const char* value = std::getenv(name);
        const fs::path path = value == nullptr ? "" : value;
        return path.is_absolute() ? path : fs::path{};
    };
    if (const fs::path base = absolute("XDG_CACHE_HOME"); !base.empty()) return base / "sondeline";
    if (const fs::path home = absolute("HOME"); !home.empty()) return home / ".cache/sondeline";
    return {};
}

std::optional<Track> kept_track(const TrackCache& cache, const std::string& sha256) {
    if (!is_sha256(sha256)) return std::nullopt;
    const fs::path entry = entry_of(cache, sha256);
    const auto bytes = read_whole(entry, most_entry_bytes);
    if (!bytes) return std::nullopt;
    const auto payload = unsealed(cache, *bytes);
    auto track = payload ? track_from_bytes(*payload) : std::nullopt;
    if (!track || track->clip.sha256 != sha256) return std::nullopt;
    std::error_code ignored;  // a cache that may only be read serves as well
    fs::last_write_time(entry, fs::file_time_type::clock::now(), ignored);
    return track;
}

void keep_track(const TrackCache& cache, const Track& track) {
    if (!is_sha256(track.clip.sha256)) return;
    const fs::path entry = entry_of(cache, track.clip.sha256);
    std::error_code error;
    fs::create_directories(entry.parent_path(), error);
    if (error) return;
    write_whole(entry, sealed(cache, bytes_from_track(track)));
    drop_beyond_bound(cache);
}

TrackReader caching_reader(TrackCache cache, TrackReader reader) {
    return [cache = std::move(cache), reader = std::move(reader)](const fs::path& clip,
                                                                  const ReadProgress& progress) {
        if (progress) progress(0.0);
        const auto mark = mark_of(clip);
        if (!mark) return reader(clip, progress);
        auto sha256 = seen_sha256(cache, *mark);
        if (!sha256) {
            sha256 = file_sha256(clip);
            const auto after = mark_of(clip);
            if (after && after->text == mark->text) remember_sha256(cache, *mark, *sha256);
        }
        if (auto track = kept_track(cache, *sha256)) {
            rename_clip(*track, clip.filename().string());
            if (progress) progress(1.0);
            return std::move(*track);
        }
        return read_and_keep(cache, reader, clip, *sha256, progress);
    };
}

}  // namespace sondeline
