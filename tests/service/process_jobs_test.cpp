#include <algorithm>
#include <atomic>
#include <stdexcept>
#include <thread>

#include <gmock/gmock.h>

#include "sondeline/service.hpp"

#include "service/made_track.hpp"
#include "service/own_folder.hpp"

namespace sondeline {
namespace {

namespace fs = std::filesystem;
using testing::ElementsAre;

// A day of jobs, each of two clips that only look like footage.
class ProcessJobs : public OwnFolder {
  protected:
    fs::path job(const std::string& name) const {
        fs::create_directories(folder_ / name);
        put(folder_ / name / "L1.mp4", name);
        put(folder_ / name / "L2.mp4", name);
        return folder_ / name;
    }

    static Track read(const fs::path& clip, const ReadProgress& tell) {
        tell(0.5);
        Track track = made_track(file_sha256(clip));
        track.clip.damaged = false;
        return track;
    }
};

TEST_F(ProcessJobs, OrdersEveryJobOfADayOnce) {
    job("b");
    job("a");
    const auto orders = job_orders({folder_, folder_ / "a", folder_ / "./b"});
    ASSERT_EQ(orders.size(), 2U);
    EXPECT_EQ(orders[0].folder.filename(), "a");
    EXPECT_TRUE(orders[0].out.empty());
}

TEST_F(ProcessJobs, GivesJobsOfOneNameFoldersOfTheirOwn) {
    job("monday/oak");
    job("tuesday/oak");
    const auto orders = job_orders({folder_ / "monday/oak", folder_ / "tuesday/oak/"}, "out");
    ASSERT_EQ(orders.size(), 2U);
    EXPECT_EQ(orders[0].out, "out/oak");
    EXPECT_EQ(orders[1].out, "out/oak-2");
}

TEST_F(ProcessJobs, WritesEveryMapAndTellsOfThemInOrder) {
    for (const char* name : {"a", "b", "c", "d", "e"}) job(name);
    std::vector<std::string> told;
    DayOptions options;
    options.threads = 3;
    options.job_done = [&](std::size_t, const Outcome& outcome) { told.push_back(outcome.site); };
    const auto outcomes = process_jobs(job_orders({folder_}), read, options);
    EXPECT_THAT(told, ElementsAre("a", "b", "c", "d", "e"));
    for (const Outcome& outcome : outcomes) EXPECT_TRUE(fs::exists(outcome.out / "report.html"));
}

TEST_F(ProcessJobs, NeverReadsMoreClipsAtOnceThanAsked) {
    for (const char* name : {"a", "b", "c"}) job(name);
    std::atomic<int> now{0};
    std::atomic<int> most{0};
    const TrackReader reader = [&](const fs::path& clip, const ReadProgress& tell) {
        most = std::max(most.load(), ++now);
        std::this_thread::sleep_for(std::chrono::milliseconds(20));
        --now;
        return read(clip, tell);
    };
    DayOptions options;
    options.threads = 2;
    process_jobs(job_orders({folder_}), reader, options);
    EXPECT_EQ(most, 2);
}

TEST_F(ProcessJobs, LetsABadJobStopNoOther) {
    job("a");
    job("c");
    fs::create_directories(folder_ / "b");
    put(folder_ / "b/runs.csv", "id,from\nL1,tank\n");
    put(folder_ / "b/asbuilt", "a file where the map should go");
    const auto outcomes = process_jobs(job_orders({folder_}), read, {});
    ASSERT_EQ(outcomes.size(), 3U);
    EXPECT_EQ(outcomes[1].exit_code, 3);
    EXPECT_FALSE(outcomes[1].error.empty());
    EXPECT_EQ(get(folder_ / "b/asbuilt"), "a file where the map should go");
    for (const std::size_t good : {0U, 2U}) {
        EXPECT_TRUE(fs::exists(outcomes[good].out / "report.html"));
    }
}

TEST_F(ProcessJobs, StopWhenAskedAndLeaveNothingHalfWritten) {
    job("a");
    std::stop_source stop;
    DayOptions options;
    options.stop = stop.get_token();
    const TrackReader reader = [&](const fs::path& clip, const ReadProgress& tell) {
        stop.request_stop();
        return read(clip, tell);
    };
    EXPECT_THROW(process_jobs(job_orders({folder_}), reader, options), Stopped);
    const auto entries = std::distance(fs::directory_iterator(folder_ / "a"), {});
    EXPECT_EQ(entries, 2);
}

TEST_F(ProcessJobs, ThatAreEditedReadNoFootageAgain) {
    job("a");
    std::atomic<int> reads{0};
    const TrackReader reader =
        caching_reader({folder_ / "cache"}, [&](const fs::path& clip, const ReadProgress& tell) {
            ++reads;
            return read(clip, tell);
        });
    // One after the other: both clips hold the same bytes, and side by side each might find the
    // cache empty.
    DayOptions one_at_a_time;
    one_at_a_time.threads = 1;
    process_jobs(job_orders({folder_ / "a"}), reader, one_at_a_time);
    EXPECT_EQ(reads, 1);
    put(folder_ / "a/runs.csv", "id,footage,kind\nL1,L1.mp4,lateral\nL2,L2.mp4,lateral\n");
    const auto again = process_jobs(job_orders({folder_ / "a"}), reader, one_at_a_time);
    EXPECT_EQ(reads, 1);
    EXPECT_EQ(again[0].runs.size(), 2U);
}

}  // namespace
}  // namespace sondeline
