// The SHA-256 of files that were hashed before and have not changed since, so that a clip of
// gigabytes need not be read to be known again.
#pragma once

#include "sondeline/service.hpp"

namespace sondeline {

// What tells that a file is still the one seen: its place, device, number, size, and the times of
// its last change of content and of anything about it, to the nanosecond. Empty when there is no
// such regular file.
struct FileMark {
    std::string text;
    bool settled = false;  // unchanged for at least two seconds: later changes have other times
};
std::optional<FileMark> mark_of(const std::filesystem::path& file);

std::optional<std::string> seen_sha256(const TrackCache& cache, const FileMark& mark);

// Only marks that are settled are remembered: some file systems count in whole seconds.
void remember_sha256(const TrackCache& cache, const FileMark& mark, const std::string& sha256);

// 64 lower-case hexadecimal digits.
bool is_sha256(std::string_view text);

}  // namespace sondeline
