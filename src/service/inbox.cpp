#include "service/inbox.hpp"

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "service/track_bytes.hpp"

namespace sondeline {

namespace fs = std::filesystem;

namespace {

// Linux grants a read lease only on files that nobody has open for writing. Where leases are not to
// be had (other owners, network shares) only size and time tell.
bool is_written_to(const fs::path& file) {
    const int descriptor = open(file.c_str(), O_RDONLY | O_NONBLOCK | O_CLOEXEC);
    if (descriptor < 0) return false;
    const bool refused = fcntl(descriptor, F_SETLEASE, F_RDLCK) != 0 && errno == EAGAIN;
    if (!refused) fcntl(descriptor, F_SETLEASE, F_UNLCK);
    close(descriptor);
    return refused;
}

void look_at(const fs::path& file, std::string& all, JobState& state) {
    struct stat status {};
    const std::string name = file.filename().string();
    if (lstat(file.c_str(), &status) != 0 || !S_ISREG(status.st_mode)) return;
    if (is_called_unfinished(name)) {
        state.being_copied = true;
    } else if (name.starts_with('.')) {
        return;
    }
    all += fmt::format("{} {} {} {}.{:09}\n", name, status.st_size, status.st_ino,
                       status.st_mtim.tv_sec, status.st_mtim.tv_nsec);
    state.being_copied = state.being_copied || is_written_to(file);
}

JobState state_of(const fs::path& folder) {
    std::vector<fs::path> files;
    std::error_code error;
    for (fs::directory_iterator it(folder, error), end; !error && it != end; it.increment(error)) {
        files.push_back(it->path());
    }
    std::ranges::sort(files);
    JobState state;
    std::string all;
    for (const fs::path& file : files) look_at(file, all, state);
    state.signature = fmt::format("{:016x}", checksum(all));
    return state;
}

bool holds_a_job(const fs::path& folder) {
    const Job job = read_job_folder(folder);
    return !job.footage.empty() || !job.inputs.empty();
}

std::vector<fs::path> folders_in(const fs::path& folder) {
    std::vector<fs::path> folders;
    std::error_code error;
    for (fs::directory_iterator it(folder, error), end; !error && it != end; it.increment(error)) {
        std::error_code unknown;
        const bool hidden = it->path().filename().string().starts_with('.');
        if (!hidden && it->is_directory(unknown)) folders.push_back(it->path());
    }
    return folders;
}

}  // namespace

bool is_called_unfinished(const std::string& name) {
    constexpr std::array<std::string_view, 7> endings{
        ".part", ".partial", ".tmp", ".temp", ".crdownload", ".filepart", ".download"};
    if (std::ranges::any_of(endings, [&](auto ending) { return name.ends_with(ending); })) {
        return true;
    }
    // ".clip.mp4.x8Kq2": six letters behind a hidden copy of the name, as rsync does.
    const std::size_t dot = name.rfind('.');
    return name.starts_with('.') && dot > 1 && dot != std::string::npos &&
           name.find('.', 1) < dot && name.size() - dot == 7;
}

std::map<std::string, JobState> jobs_of_inbox(const fs::path& inbox) {
    std::map<std::string, JobState> jobs;
    for (const fs::path& folder : folders_in(inbox)) {
        if (holds_a_job(folder)) {
            jobs[folder.filename().string()] = state_of(folder);
            continue;
        }
        for (const fs::path& inner : folders_in(folder)) {
            if (!holds_a_job(inner)) continue;
            jobs[(folder.filename() / inner.filename()).generic_string()] = state_of(inner);
        }
    }
    return jobs;
}

std::vector<std::string> Settling::settled(const std::map<std::string, JobState>& jobs,
                                           double now_s) {
    std::erase_if(known_, [&](const auto& known) { return !jobs.contains(known.first); });
    std::vector<std::string> names;
    for (const auto& [name, state] : jobs) {
        const auto [known, is_new] = known_.try_emplace(name, Known{state.signature, now_s});
        if (state.being_copied || known->second.signature != state.signature) {
            known->second = {state.signature, now_s};
        }
        const bool long_enough = now_s - known->second.since_s >= settle_s_;
        if (long_enough && !state.being_copied) names.push_back(name);
    }
    return names;
}

InboxLock::InboxLock(const fs::path& file) {
    descriptor_ = open(file.c_str(), O_RDWR | O_CREAT | O_CLOEXEC,
                       S_IRUSR | S_IWUSR | S_IRGRP | S_IWGRP | S_IROTH);
    if (descriptor_ < 0) {
        why_not_ = fmt::format("The inbox cannot be written to: {}.", std::strerror(errno));
        return;
    }
    held_ = flock(descriptor_, LOCK_EX | LOCK_NB) == 0;
    if (held_) return;
    why_not_ = errno == EWOULDBLOCK
                   ? "Another watcher is at work on this inbox."
                   : fmt::format("The inbox cannot be locked: {}.", std::strerror(errno));
}

InboxLock::~InboxLock() {
    if (descriptor_ >= 0) close(descriptor_);
}

}  // namespace sondeline
