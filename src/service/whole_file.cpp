#include "service/whole_file.hpp"

#include <array>
#include <cerrno>
#include <cstdio>
#include <fstream>

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

namespace sondeline {

namespace fs = std::filesystem;

namespace {

constexpr std::string_view half_written_mark = ".half-";

// A name that no other process, here or on another machine of the same share, takes.
int open_beside(const fs::path& file, fs::path& beside) {
    std::array<char, 64> host{};
    gethostname(host.data(), host.size() - 1);
    for (int attempt = 0; attempt < 16; ++attempt) {
        beside =
            file.parent_path() / fmt::format(".{}{}{}-{}-{}", file.filename().string(),
                                             half_written_mark, host.data(), gettid(), attempt);
        const int descriptor = open(beside.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC,
                                    S_IRUSR | S_IWUSR | S_IRGRP | S_IWGRP | S_IROTH | S_IWOTH);
        if (descriptor >= 0 || errno != EEXIST) return descriptor;
    }
    return -1;
}

bool write_all(int descriptor, std::string_view bytes) {
    while (!bytes.empty()) {
        const ssize_t written = write(descriptor, bytes.data(), bytes.size());
        if (written < 0 && errno == EINTR) continue;
        if (written < 0) return false;
        bytes.remove_prefix(static_cast<std::size_t>(written));
    }
    return true;
}

}  // namespace

std::optional<std::string> read_whole(const fs::path& file, std::size_t most_bytes) {
    std::error_code error;
    if (!fs::is_regular_file(file, error)) return std::nullopt;
    const std::uintmax_t size = fs::file_size(file, error);
    if (error || size > most_bytes) return std::nullopt;
    std::ifstream in(file, std::ios::binary);
    std::string bytes(static_cast<std::size_t>(size), '\0');
    in.read(bytes.data(), static_cast<std::streamsize>(size));
    if (!in || in.peek() != std::ifstream::traits_type::eof()) return std::nullopt;
    return bytes;
}

bool write_whole(const fs::path& file, std::string_view bytes, Existing existing) {
    fs::path beside;
    const int descriptor = open_beside(file, beside);
    if (descriptor < 0) return false;
    bool good = write_all(descriptor, bytes);
    int why = errno;
    if (close(descriptor) != 0 && good) {
        good = false;
        why = errno;
    }
    if (good) {
        const unsigned how = existing == Existing::keep ? RENAME_NOREPLACE : 0U;
        good = renameat2(AT_FDCWD, beside.c_str(), AT_FDCWD, file.c_str(), how) == 0;
        why = errno;
    }
    if (!good) {
        unlink(beside.c_str());
        errno = why;
    }
    return good;
}

bool is_half_written(const fs::path& file) {
    const std::string name = file.filename().string();
    return name.starts_with('.') && name.find(half_written_mark) != std::string::npos;
}

}  // namespace sondeline
