// Reads damaged copies of clips, each within limits of time and memory, and tells which seed broke
// what: mutated_clips [options] CLIP…  Exit code 0 when every copy gave a track that makes sense.
//
// Copies are read by a child process, many in a row; when one ends the child, or overruns its time,
// the parent names the seed and goes on behind it with a new child.
#include <atomic>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <iterator>
#include <thread>

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <signal.h>
#include <sys/mman.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include "sondeline/footage.hpp"

#include "faults/mutation.hpp"

namespace {

namespace fs = std::filesystem;
using namespace sondeline;
using Clock = std::chrono::steady_clock;

struct Arguments {
    std::vector<fs::path> clips;
    std::uint64_t first = 0;
    std::uint64_t count = 1000;
    double seconds = 10.0;       // of the processor, for one copy
    std::size_t memory_mib = 0;  // address space; 0: no limit (sanitizers need terabytes of it)
    std::size_t growth_mib = 64;
};

// What the child tells its parent, in memory that both see.
struct Shared {
    std::atomic<std::uint64_t> seed{0};     // being read
    std::atomic<std::uint64_t> started{0};  // copies begun
    std::atomic<std::uint64_t> tracks{0};   // copies in which a counter was found
    std::atomic<std::uint64_t> refused{0};  // copies that could not be opened
    std::atomic<double> slowest_s{0.0};
    std::atomic<std::uint64_t> slowest_seed{0};
    std::atomic<std::uint64_t> early_rss_kib{0};  // after the first tenth of the copies
    std::atomic<std::uint64_t> last_rss_kib{0};
    std::atomic<std::uint64_t> peak_rss_kib{0};
};

std::uint64_t resident_kib() {
    std::ifstream status("/proc/self/statm");
    std::uint64_t all = 0;
    std::uint64_t resident = 0;
    status >> all >> resident;
    return resident * static_cast<std::uint64_t>(sysconf(_SC_PAGESIZE)) / 1024;
}

// Seconds of the processor that a process has taken; a busy machine does not count.
double processor_s(pid_t process) {
    clockid_t clock{};
    timespec time{};
    if (clock_getcpuclockid(process, &clock) != 0 || clock_gettime(clock, &time) != 0) return 0.0;
    return static_cast<double>(time.tv_sec) + static_cast<double>(time.tv_nsec) / 1e9;
}

std::string bytes_of(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

bool is_share(double value) {
    return value >= 0.0 && value <= 1.0;
}

// What must hold of any track, whatever the clip; else what does not.
std::string nonsense_in(const Track& track) {
    double last_s = 0.0;
    for (const CounterSample& sample : track.samples) {
        if (!std::isfinite(sample.time_s) || sample.time_s < last_s) return "times that fall";
        last_s = sample.time_s;
        if (!is_share(sample.probability)) return "a probability beyond 0…1";
        if (sample.counter && !std::isfinite(*sample.counter)) return "a counter without a value";
        if (!sample.counter && sample.reason.empty()) return "a missing value without a reason";
    }
    if (!is_share(track.coverage)) return "a coverage beyond 0…1";
    if (track.samples.empty() && track.findings.empty()) return "silence about an unreadable clip";
    if (!std::isfinite(track.clip.duration_s) || track.clip.duration_s < 0.0) return "a duration";
    return "";
}

void note_time(Shared& shared, double seconds, std::uint64_t seed) {
    if (seconds <= shared.slowest_s) return;
    shared.slowest_s = seconds;
    shared.slowest_seed = seed;
}

// The child: copies from `from` on. Its exit code is 0 at the end of the seeds, 1 for nonsense.
[[noreturn]] void read_copies(const Arguments& arguments, const std::string& bytes,
                              const fs::path& copy, std::uint64_t from, Shared& shared) {
    if (arguments.memory_mib > 0) {
        const rlim_t most = arguments.memory_mib << 20U;
        const rlimit limit{most, most};
        setrlimit(RLIMIT_AS, &limit);
    }
    const std::uint64_t end = arguments.first + arguments.count;
    for (std::uint64_t seed = from; seed < end; ++seed) {
        const Mutation mutation = mutated(bytes, seed);
        std::ofstream(copy, std::ios::binary) << mutation.bytes;
        const double begun_s = processor_s(getpid());
        shared.seed = seed;
        ++shared.started;
        const Track track = read_clip(copy);
        note_time(shared, processor_s(getpid()) - begun_s, seed);
        if (const std::string nonsense = nonsense_in(track); !nonsense.empty()) {
            fmt::print("  seed {} ({}): gave {}\n", seed, mutation.what, nonsense);
            std::fflush(stdout);
            _exit(1);
        }
        shared.tracks += track.format ? 1 : 0;
        shared.refused += track.samples.empty() ? 1 : 0;
        shared.last_rss_kib = resident_kib();
        if (seed - from == arguments.count / 10) shared.early_rss_kib = resident_kib();
    }
    rusage usage{};
    getrusage(RUSAGE_SELF, &usage);
    shared.peak_rss_kib = static_cast<std::uint64_t>(usage.ru_maxrss);
    _exit(0);
}

// Waits for the child, and ends it when one copy takes too long; what went wrong, or nothing. What
// sleeps forever takes no time of the processor, so the clock on the wall counts as well.
std::string outcome_of(pid_t child, const Arguments& arguments, const Shared& shared) {
    constexpr double wall_per_processor = 30.0;
    std::uint64_t seen = 0;
    auto since = Clock::now();
    double since_s = 0.0;
    while (true) {
        int status = 0;
        if (waitpid(child, &status, WNOHANG) == child) {
            if (WIFEXITED(status) && WEXITSTATUS(status) == 0) return "";
            if (WIFEXITED(status)) return fmt::format("ended with {}", WEXITSTATUS(status));
            return fmt::format("ended by signal {}", WTERMSIG(status));
        }
        if (shared.started != seen) {
            seen = shared.started;
            since = Clock::now();
            since_s = processor_s(child);
        }
        const double wall_s = std::chrono::duration<double>(Clock::now() - since).count();
        if (processor_s(child) - since_s > arguments.seconds ||
            wall_s > wall_per_processor * arguments.seconds) {
            kill(child, SIGKILL);
            waitpid(child, &status, 0);
            return fmt::format("took more than {:.0f} s", arguments.seconds);
        }
        std::this_thread::sleep_for(std::chrono::milliseconds(20));
    }
}

// How many seeds failed.
int read_mutations_of(const fs::path& clip, const Arguments& arguments, Shared& shared) {
    const std::string bytes = bytes_of(clip);
    const fs::path copy = fs::temp_directory_path() /
                          fmt::format("mutated-{}{}", getpid(), clip.extension().string());
    int failures = 0;
    const std::uint64_t end = arguments.first + arguments.count;
    for (std::uint64_t from = arguments.first; from < end;) {
        const pid_t child = fork();
        if (child == 0) read_copies(arguments, bytes, copy, from, shared);
        const std::string wrong = outcome_of(child, arguments, shared);
        if (wrong.empty()) break;
        ++failures;
        fmt::print("  seed {} ({}): {}\n", shared.seed.load(), mutated(bytes, shared.seed).what,
                   wrong);
        from = shared.seed + 1;
    }
    std::error_code ignored;
    fs::remove(copy, ignored);
    return failures;
}

int read_all(const Arguments& arguments) {
    int failures = 0;
    for (const fs::path& clip : arguments.clips) {
        void* memory = mmap(nullptr, sizeof(Shared), PROT_READ | PROT_WRITE,
                            MAP_SHARED | MAP_ANONYMOUS, -1, 0);
        auto& shared = *new (memory) Shared;
        int failed = read_mutations_of(clip, arguments, shared);
        const std::uint64_t grown_kib =
            shared.early_rss_kib > 0 && shared.last_rss_kib > shared.early_rss_kib
                ? shared.last_rss_kib - shared.early_rss_kib
                : 0;
        if (grown_kib > arguments.growth_mib * 1024) {
            fmt::print("  memory grew by {} MiB\n", grown_kib / 1024);
            ++failed;
        }
        fmt::print(
            "{}: {} copies, {} with a counter, {} refused, {} failed; slowest {:.2f} s "
            "(seed {}), at most {} MiB, grown by {} MiB\n",
            clip.filename().string(), shared.started.load(), shared.tracks.load(),
            shared.refused.load(), failed, shared.slowest_s.load(), shared.slowest_seed.load(),
            shared.peak_rss_kib / 1024, grown_kib / 1024);
        std::fflush(stdout);
        failures += failed;
        munmap(memory, sizeof(Shared));
    }
    return failures;
}

}  // namespace

int main(int argc, char** argv) {
    Arguments arguments;
    CLI::App app{"Reads damaged copies of clips"};
    app.add_option("CLIP", arguments.clips)->required()->check(CLI::ExistingFile);
    app.add_option("--first", arguments.first, "First seed");
    app.add_option("--count", arguments.count, "Copies of each clip (default: 1000)");
    app.add_option("--seconds", arguments.seconds, "Most seconds for one copy (default: 10)");
    app.add_option("--memory-mib", arguments.memory_mib, "Most address space (default: any)");
    app.add_option("--growth-mib", arguments.growth_mib,
                   "Most that memory may grow from a tenth of the copies on (default: 64)");
    CLI11_PARSE(app, argc, argv);
    return read_all(arguments) == 0 ? 0 : 1;
}
