#include "deliverables/paper_file.hpp"

#include <cerrno>
#include <csignal>
#include <fstream>
#include <vector>

#include <fcntl.h>
#include <fmt/format.h>
#include <poll.h>
#include <spawn.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

// This header of glibc 2.36 does not say that its functions are those of C.
extern "C" {
#include <sys/pidfd.h>
}

namespace sondeline {

namespace fs = std::filesystem;

namespace {

// Of the processor's time, so that a busy machine makes the same set as an idle one; the other is
// for a program that only waits.
constexpr rlim_t most_cpu_s = 60;
constexpr int longest_ms = 600'000;
constexpr rlim_t most_bytes = rlim_t{2} << 30U;

// With a fixed date, for programs that would stamp the file with the time of day
// (reproducible-builds.org, SOURCE_DATE_EPOCH).
std::vector<std::string> environment() {
    constexpr std::string_view date = "SOURCE_DATE_EPOCH=";
    std::vector<std::string> all;
    for (char** entry = environ; entry != nullptr && *entry != nullptr; ++entry) {
        if (!std::string_view(*entry).starts_with(date)) all.emplace_back(*entry);
    }
    all.push_back(std::string(date) + "0");
    return all;
}

std::vector<char*> pointers_to(std::vector<std::string>& words) {
    std::vector<char*> pointers;
    pointers.reserve(words.size() + 1);
    for (std::string& word : words) pointers.push_back(word.data());
    pointers.push_back(nullptr);
    return pointers;
}

struct SpawnSettings {
    posix_spawn_file_actions_t files{};
    posix_spawnattr_t attributes{};
    SpawnSettings() {
        posix_spawn_file_actions_init(&files);
        posix_spawnattr_init(&attributes);
        posix_spawn_file_actions_addopen(&files, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
        posix_spawn_file_actions_addopen(&files, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
        posix_spawn_file_actions_addopen(&files, STDERR_FILENO, "/dev/null", O_WRONLY, 0);
        // A group of its own: a stop asked for at the terminal lets the set be finished.
        posix_spawnattr_setflags(&attributes, POSIX_SPAWN_SETPGROUP);
    }
    ~SpawnSettings() {
        posix_spawn_file_actions_destroy(&files);
        posix_spawnattr_destroy(&attributes);
    }
    SpawnSettings(const SpawnSettings&) = delete;
    SpawnSettings& operator=(const SpawnSettings&) = delete;
};

// Waits for the process and gives whether it ended well in time; ends it when it did not.
bool ends_well(pid_t process) {
    const rlimit room{most_bytes, most_bytes};
    const rlimit work{most_cpu_s, most_cpu_s};
    prlimit(process, RLIMIT_AS, &room, nullptr);
    prlimit(process, RLIMIT_CPU, &work, nullptr);
    const int handle = pidfd_open(process, 0);
    pollfd ended{handle, POLLIN, 0};
    int got = -1;
    do {
        got = handle < 0 ? 0 : poll(&ended, 1, longest_ms);
    } while (got < 0 && errno == EINTR);
    if (handle >= 0) close(handle);
    if (got <= 0) kill(process, SIGKILL);
    int status = 0;
    while (waitpid(process, &status, 0) < 0 && errno == EINTR) {
    }
    return got > 0 && WIFEXITED(status) && WEXITSTATUS(status) == 0;
}

Findings missing(std::string what, std::string what_to_do) {
    Finding finding;
    finding.severity = Severity::caution;
    finding.what = std::move(what);
    finding.what_to_do = std::move(what_to_do);
    return {finding};
}

}  // namespace

Findings make_pdf(const std::string& program, const std::string& html, const fs::path& pdf) {
    constexpr const char* print_it =
        "or open report.html in a browser and print it, which gives the plan without a scale.";
    const fs::path source = fs::path(pdf).replace_extension(".paper.html");
    std::ofstream(source, std::ios::binary) << html;
    std::vector<std::string> arguments{program, source.string(), pdf.string()};
    std::vector<std::string> variables = environment();
    const SpawnSettings settings;
    pid_t process = 0;
    const int error = posix_spawnp(&process, program.c_str(), &settings.files, &settings.attributes,
                                   pointers_to(arguments).data(), pointers_to(variables).data());
    const bool made = error == 0 && ends_well(process);
    std::error_code ignored;
    fs::remove(source, ignored);
    if (made && fs::file_size(pdf, ignored) > 0 && !ignored) return {};
    fs::remove(pdf, ignored);
    if (error == ENOENT) {
        return missing(
            fmt::format("There is no report.pdf: the program {} is not on this machine.", program),
            fmt::format("Install it (Debian: apt-get install weasyprint) and process the folder "
                        "again, {}",
                        print_it));
    }
    return missing(fmt::format("There is no report.pdf: the program {} did not make it.", program),
                   fmt::format("Process the folder again, {}", print_it));
}

}  // namespace sondeline
