#include "deliverables/publish_atomically.hpp"

#include <cstdio>

#include <fcntl.h>
#include <fmt/format.h>
#include <signal.h>
#include <unistd.h>

#include "sondeline/deliverables.hpp"

namespace sondeline {

namespace fs = std::filesystem;

namespace {

constexpr std::string_view staging_mark = ".writing-";

[[noreturn]] void fail(const fs::path& out, const std::string& why) {
    throw OutputError(
        fmt::format("Nothing was written to {}: {}. Free the folder or choose another "
                    "with --out; what stood there before is unchanged.",
                    out.generic_string(), why));
}

// ".asbuilt.writing-4711" → 4711, when that process is gone.
bool left_over(const fs::path& entry, const std::string& prefix) {
    const std::string name = entry.filename().string();
    if (!name.starts_with(prefix)) return false;
    const std::string number = name.substr(prefix.size());
    if (number.empty() || number.find_first_not_of("0123456789") != std::string::npos) return false;
    const auto process = static_cast<pid_t>(std::strtol(number.c_str(), nullptr, 10));
    return process != getpid() && kill(process, 0) != 0 && errno == ESRCH;
}

void remove_left_overs(const fs::path& parent, const std::string& prefix) {
    std::error_code error;
    std::vector<fs::path> stale;
    for (fs::directory_iterator it(parent, error), end; !error && it != end; it.increment(error)) {
        if (left_over(it->path(), prefix)) stale.push_back(it->path());
    }
    for (const fs::path& folder : stale) fs::remove_all(folder, error);
}

// Removes the folder on every way out.
struct Staging {
    fs::path folder;
    explicit Staging(fs::path path) : folder(std::move(path)) {}
    ~Staging() {
        std::error_code ignored;
        fs::remove_all(folder, ignored);
    }
    Staging(const Staging&) = delete;
    Staging& operator=(const Staging&) = delete;
};

// SQLite's companions of an open GeoPackage belong to that file.
bool ours(const fs::path& entry, const std::set<std::string>& names) {
    std::string name = entry.filename().string();
    for (const char* tail : {"-wal", "-shm", "-journal"}) {
        if (name.ends_with(tail)) name.resize(name.size() - std::string_view(tail).size());
    }
    return names.contains(name);
}

void keep_foreign_files(const fs::path& old_set, const fs::path& new_set,
                        const std::set<std::string>& names) {
    std::error_code error;
    std::vector<fs::path> foreign;
    for (fs::directory_iterator it(old_set, error), end; !error && it != end; it.increment(error)) {
        if (!ours(it->path(), names)) foreign.push_back(it->path());
    }
    for (const fs::path& entry : foreign) fs::rename(entry, new_set / entry.filename(), error);
}

void swap_in(const fs::path& staging, const fs::path& out) {
    const bool replaces = fs::exists(fs::symlink_status(out));
    const unsigned how = replaces ? RENAME_EXCHANGE : RENAME_NOREPLACE;
    if (renameat2(AT_FDCWD, staging.c_str(), AT_FDCWD, out.c_str(), how) != 0) {
        fail(out, std::generic_category().message(errno));
    }
}

}  // namespace

void publish_atomically(const fs::path& out, const std::set<std::string>& names,
                        const std::function<void(const fs::path&)>& write) {
    const fs::path target = fs::absolute(out / "").parent_path().lexically_normal();
    std::error_code error;
    if (fs::exists(target, error) && !fs::is_directory(target, error)) {
        fail(out, "there is a file of that name");
    }
    fs::create_directories(target.parent_path(), error);
    if (error) fail(out, error.message());
    const std::string prefix = "." + target.filename().string() + std::string(staging_mark);
    remove_left_overs(target.parent_path(), prefix);
    const Staging staging(target.parent_path() / (prefix + std::to_string(getpid())));
    fs::remove_all(staging.folder, error);
    fs::create_directory(staging.folder, error);
    if (error) fail(out, error.message());
    write(staging.folder);
    swap_in(staging.folder, target);
    // After the exchange the staging folder holds the old set.
    keep_foreign_files(staging.folder, target, names);
}

}  // namespace sondeline
