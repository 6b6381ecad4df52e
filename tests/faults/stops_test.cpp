// Stopped by hand, killed, and run while the clock goes backwards.
#include <chrono>
#include <csignal>
#include <cstdint>
#include <cstdlib>
#include <thread>

#include <gmock/gmock.h>

#include "faults/program.hpp"

namespace sondeline {
namespace {

namespace fs = std::filesystem;
using testing::IsEmpty;
using Clock = std::chrono::steady_clock;

class Stops : public JobOfProgram {
  protected:
    // A minute of noise with text in it, which takes seconds to read.
    void add_long_clip() const {
        const std::string command =
            "ffmpeg -v error -y -nostdin -f lavfi -i testsrc2=s=640x480:r=30 -t 60 -c:v mpeg2video "
            "-q:v 20 '" +
            (folder_ / "job/long.mpg").string() + "'";
        ASSERT_EQ(std::system(command.c_str()), 0);
    }

    // Before that a signal ends it at once, and nothing has been begun.
    static void wait_until_it_takes_signals(pid_t child) {
        const fs::path status = "/proc/" + std::to_string(child) + "/status";
        constexpr std::uint64_t interrupt = std::uint64_t{1} << (SIGINT - 1);
        for (int i = 0; i < 3000; ++i) {
            const std::string text = get(status);
            const std::size_t at = text.find("SigBlk:");
            if (at == std::string::npos) return;
            if ((std::strtoull(text.c_str() + at + 7, nullptr, 16) & interrupt) != 0) return;
            std::this_thread::sleep_for(std::chrono::milliseconds(10));
        }
    }
};

TEST_F(Stops, WithinASecondAndLeavesNothingHalfWritten) {
    add_long_clip();
    for (const auto& [words, signal] :
         {std::pair{process(), SIGINT}, std::pair{process(), SIGTERM},
          std::pair{std::vector<std::string>{"read", job() + "/long.mpg", "--cache", cache()},
                    SIGINT}}) {
        double soonest_s = 1e9;
        // The best of three: a machine that is busy with other work may be late.
        for (int attempt = 0; attempt < 3; ++attempt) {
            const auto before = files_in(folder_ / "job");
            const pid_t child = start(words);
            wait_until_it_takes_signals(child);
            std::this_thread::sleep_for(std::chrono::milliseconds(400));
            const auto asked = Clock::now();
            kill(child, signal);
            const Ran ran = finish(child);
            const std::chrono::duration<double> took = Clock::now() - asked;
            soonest_s = std::min(soonest_s, took.count());
            EXPECT_EQ(ran.exit_code, 128 + signal) << ran.out << ran.err;
            EXPECT_THAT(ran.out, IsEmpty());
            EXPECT_THAT(unfinished_in(folder_), IsEmpty());
            EXPECT_EQ(files_in(folder_ / "job"), before);
        }
        EXPECT_LT(soonest_s, 1.0) << words.front();
    }
}

// tests/service/kill_loop.sh alone takes two hundred rounds of the sample site.
TEST_F(Stops, ByKillLeaveTheOldMapOrTheNew) {
    const std::string command = std::string(SONDELINE_SOURCE_DIR) +
                                "/tests/service/kill_loop.sh " SONDELINE_PROGRAM " '" + job() +
                                "' 16 >'" + (folder_ / "said").string() + "' 2>&1";
    EXPECT_EQ(std::system(command.c_str()), 0) << get(folder_ / "said");
}

// Every look at the clock finds it a second earlier, from the year 2100 on, and all files are of
// the future then.
TEST_F(Stops, NotForAClockThatGoesBackwards) {
    ASSERT_EQ(run(process()).exit_code, 2);
    const auto map = files_in(as_built());
    fs::remove_all(as_built());
    RunHow backwards;
    backwards.environment = {"LD_PRELOAD=" SONDELINE_BACKWARD_CLOCK,
                             "ASAN_OPTIONS=verify_asan_link_order=0"};
    for (const char* caching : {"--no-cache", "--cache"}) {
        std::vector<std::string> words{"process", job(), caching};
        if (words.back() == "--cache") words.push_back(cache());
        const Ran ran = run(words, backwards);
        EXPECT_EQ(ran.exit_code, 2) << ran.err;
        EXPECT_EQ(files_in(as_built()), map);
    }
    const auto future = fs::file_time_type::clock::now() + std::chrono::hours(24 * 365);
    for (const auto& entry : fs::recursive_directory_iterator(folder_)) {
        if (entry.is_regular_file()) fs::last_write_time(entry.path(), future);
    }
    EXPECT_EQ(run(process()).exit_code, 2);
    EXPECT_EQ(files_in(as_built()), map);
    fs::create_directory(folder_ / "inbox");
    fs::rename(folder_ / "job", folder_ / "inbox/job");
    const Ran watched = run({"watch", (folder_ / "inbox").string(), "--once", "--settle", "0.2",
                             "--interval", "0.1", "--cache", cache()},
                            backwards);
    EXPECT_EQ(watched.exit_code, 0) << watched.err;
    EXPECT_EQ(files_in(folder_ / "inbox/job/asbuilt"), map);
}

}  // namespace
}  // namespace sondeline
