#include "service/same_clips.hpp"

#include <algorithm>
#include <fstream>

#include <fmt/format.h>

namespace sondeline {

namespace fs = std::filesystem;

namespace {

constexpr std::uintmax_t places = 64;
constexpr std::uintmax_t block_bytes = std::uintmax_t{64} << 10U;

struct RunClip {
    const Run* run = nullptr;
    const FootageFile* file = nullptr;
    std::uintmax_t bytes = 0;
};

std::vector<RunClip> clips_of_runs(const Job& job) {
    std::vector<RunClip> clips;
    for (const Run& run : job.runs) {
        for (const std::string& name : run.footage) {
            const auto file = std::ranges::find(job.footage, name, &FootageFile::name);
            if (file == job.footage.end()) continue;
            std::error_code error;
            const std::uintmax_t bytes = fs::file_size(file->path, error);
            if (!error && bytes > 0) clips.push_back({&run, &*file, bytes});
        }
    }
    return clips;
}

std::string block_at(std::ifstream& in, std::uintmax_t from) {
    std::string block(block_bytes, '\0');
    in.clear();
    in.seekg(static_cast<std::streamoff>(from));
    in.read(block.data(), static_cast<std::streamsize>(block.size()));
    block.resize(static_cast<std::size_t>(std::max<std::streamsize>(0, in.gcount())));
    return block;
}

// Of two files of one size. The whole of a small one is compared.
bool same_content(const RunClip& a, const RunClip& b) {
    std::ifstream one(a.file->path, std::ios::binary);
    std::ifstream other(b.file->path, std::ios::binary);
    const std::uintmax_t blocks = std::min(places, (a.bytes + block_bytes - 1) / block_bytes);
    const std::uintmax_t last = a.bytes > block_bytes ? a.bytes - block_bytes : 0;
    for (std::uintmax_t i = 0; i < blocks; ++i) {
        const std::uintmax_t from = blocks == 1 ? 0 : last * i / (blocks - 1);
        const std::string block = block_at(one, from);
        if (block.empty() || block != block_at(other, from)) return false;
    }
    return true;
}

const RunClip* twin_of(const RunClip& clip, const std::vector<RunClip>& clips) {
    const auto twin = std::ranges::find_if(clips, [&](const RunClip& other) {
        return other.run != clip.run && other.file != clip.file && other.bytes == clip.bytes &&
               same_content(clip, other);
    });
    return twin == clips.end() ? nullptr : &*twin;
}

}  // namespace

Findings same_clips(const Job& job) {
    const std::vector<RunClip> clips = clips_of_runs(job);
    Findings findings;
    for (const RunClip& clip : clips) {
        const RunClip* const twin = twin_of(clip, clips);
        if (twin == nullptr) continue;
        Where where = where_is(clip.run->source);
        where.column = "footage";
        where.run = clip.run->id.text;
        findings.push_back(
            {Severity::problem, where,
             fmt::format("{} is the same recording as {} of run {}. It shows one of them at most, "
                         "so that neither would get a length.",
                         clip.file->name, twin->file->name, twin->run->id.text),
             "Look which pipe it shows, and copy the other clip from the recorder before it is "
             "wiped.",
             Consequence::run_not_measured});
    }
    return findings;
}

}  // namespace sondeline
