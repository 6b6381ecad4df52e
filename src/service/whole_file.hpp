// Files that are read and written as a whole.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

namespace sondeline {

// Empty when there is no regular file that may be read, or it is larger than `most_bytes`.
std::optional<std::string> read_whole(const std::filesystem::path& file, std::size_t most_bytes);

enum class Existing { replace, keep };

// Writes beside the file and renames, so that a reader sees the old bytes or the new ones. With
// Existing::keep a file that stands there already is left, and the answer is false. Every failure
// leaves what stood there and gives false, with the reason in errno.
bool write_whole(const std::filesystem::path& file, std::string_view bytes,
                 Existing existing = Existing::replace);

// Names of files that write_whole was stopped in the middle of.
bool is_half_written(const std::filesystem::path& file);

}  // namespace sondeline
