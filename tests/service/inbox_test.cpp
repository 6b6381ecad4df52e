#include "service/inbox.hpp"

#include <atomic>
#include <chrono>
#include <thread>

#include <fcntl.h>
#include <gmock/gmock.h>
#include <nlohmann/json.hpp>
#include <sys/wait.h>

#include "service/made_track.hpp"
#include "service/own_folder.hpp"
#include "service/watch_record.hpp"

namespace sondeline {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

class Inbox : public OwnFolder {
  protected:
    void drop(const std::string& job, const std::string& bytes = "footage") const {
        fs::create_directories(folder_ / job);
        put(folder_ / job / "L1.mp4", bytes);
    }

    std::vector<std::string> names() const {
        std::vector<std::string> all;
        for (const auto& [name, state] : jobs_of_inbox(folder_)) all.push_back(name);
        return all;
    }

    static Track read(const fs::path& clip, const ReadProgress&) {
        Track track = made_track(file_sha256(clip));
        track.clip.damaged = false;
        return track;
    }

    // Watches until nothing is left to do.
    std::string watch(const TrackReader& reader = read) {
        WatchOptions options;
        options.settle_s = 0.0;
        options.interval_s = 0.02;
        options.once = true;
        options.threads = 2;
        options.tell = [this](const std::string& line) { told_ += line + "\n"; };
        return watch_inbox(folder_, reader, options);
    }

    json status() const { return json::parse(get(folder_ / "watching.json")); }

    std::string told_;
};

TEST_F(Inbox, HoldsJobsAndDaysOfJobs) {
    drop("oak");
    drop("tuesday/elm");
    drop(".hidden");
    put(folder_ / "loose.mp4", "footage");
    fs::create_directories(folder_ / "empty");
    EXPECT_THAT(names(), ElementsAre("oak", "tuesday/elm"));
}

TEST_F(Inbox, KnowsACopyThatIsNotWhole) {
    for (const char* name : {"a.mp4.part", "a.mp4.crdownload", ".a.mp4.x8Kq2Z", "a.tmp"}) {
        EXPECT_TRUE(is_called_unfinished(name)) << name;
    }
    for (const char* name : {"a.mp4", ".hidden", "notes.csv", ".sondeline", "a.b.mp4"}) {
        EXPECT_FALSE(is_called_unfinished(name)) << name;
    }
    drop("oak");
    EXPECT_FALSE(jobs_of_inbox(folder_)["oak"].being_copied);
    put(folder_ / "oak/L2.mp4.part", "half");
    EXPECT_TRUE(jobs_of_inbox(folder_)["oak"].being_copied);
}

TEST_F(Inbox, SeesAFileThatIsStillWrittenTo) {
    drop("oak");
    const int writer = open((folder_ / "oak/L1.mp4").c_str(), O_WRONLY);
    ASSERT_GE(writer, 0);
    const int probe = open((folder_ / "oak/L1.mp4").c_str(), O_RDONLY);
    const bool leases = fcntl(probe, F_SETLEASE, F_RDLCK) != 0 && errno == EAGAIN;
    close(probe);
    if (!leases) {
        close(writer);
        GTEST_SKIP() << "this file system gives no leases";
    }
    EXPECT_TRUE(jobs_of_inbox(folder_)["oak"].being_copied);
    close(writer);
    EXPECT_FALSE(jobs_of_inbox(folder_)["oak"].being_copied);
}

TEST_F(Inbox, JobsSettleWhenNothingChangesForLongEnough) {
    Settling settling(10.0);
    std::map<std::string, JobState> jobs{{"oak", {"a", false}}};
    EXPECT_THAT(settling.settled(jobs, 0.0), IsEmpty());
    EXPECT_THAT(settling.settled(jobs, 9.0), IsEmpty());
    jobs["oak"].signature = "b";  // a file has grown
    EXPECT_THAT(settling.settled(jobs, 12.0), IsEmpty());
    jobs["oak"].being_copied = true;
    EXPECT_THAT(settling.settled(jobs, 30.0), IsEmpty());
    jobs["oak"].being_copied = false;
    EXPECT_THAT(settling.settled(jobs, 39.0), IsEmpty());
    EXPECT_THAT(settling.settled(jobs, 41.0), ElementsAre("oak"));
}

TEST_F(Inbox, IsWorkedThroughAndEveryMapWritten) {
    drop("oak");
    drop("elm");
    EXPECT_EQ(watch(), "");
    EXPECT_TRUE(fs::exists(folder_ / "oak/asbuilt/report.html"));
    EXPECT_TRUE(fs::exists(folder_ / "elm/asbuilt/report.html"));
    EXPECT_EQ(status()["state"], "stopped");
    ASSERT_EQ(status()["jobs"].size(), 2U);
    EXPECT_EQ(status()["jobs"][0]["job"], "elm");
    EXPECT_EQ(status()["jobs"][0]["state"], "done");
}

TEST_F(Inbox, BeginsAJobWhileAnotherIsStillWorkedOn) {
    drop("slow");
    bool quick_was_done = false;
    const TrackReader reader = [&](const fs::path& clip, const ReadProgress& tell) {
        if (clip.parent_path().filename() == "slow") {
            drop("quick");
            const fs::path map = folder_ / "quick/asbuilt/report.html";
            for (int i = 0; i < 3000 && !fs::exists(map); ++i) {
                std::this_thread::sleep_for(std::chrono::milliseconds(10));
            }
            quick_was_done = fs::exists(map);
        }
        return read(clip, tell);
    };
    EXPECT_EQ(watch(reader), "");
    EXPECT_TRUE(quick_was_done);
    EXPECT_TRUE(fs::exists(folder_ / "slow/asbuilt/report.html"));
}

TEST_F(Inbox, WorksAgainOnAJobThatChangedMeanwhile) {
    drop("oak");
    std::atomic<int> reads{0};
    const TrackReader reader = [&](const fs::path& clip, const ReadProgress& tell) {
        if (++reads == 1) {
            put(folder_ / "oak/job.csv", "key,value\nsite,Elm Street\n");
            std::this_thread::sleep_for(std::chrono::milliseconds(200));
        }
        return read(clip, tell);
    };
    EXPECT_EQ(watch(reader), "");
    EXPECT_EQ(reads, 2);
    EXPECT_THAT(get(folder_ / "oak/asbuilt/job.json"), HasSubstr("Elm Street"));
    EXPECT_EQ(status()["jobs"][0]["state"], "done");
}

TEST_F(Inbox, IsNotWorkedThroughAgainAfterARestart) {
    int reads = 0;
    const TrackReader reader = [&](const fs::path& clip, const ReadProgress& tell) {
        ++reads;
        return read(clip, tell);
    };
    drop("oak");
    watch(reader);
    watch(reader);
    EXPECT_EQ(reads, 1);
    drop("oak", "other footage");
    watch(reader);
    EXPECT_EQ(reads, 2);
}

TEST_F(Inbox, GoesOnAfterAJobWhoseMapCannotBeWritten) {
    drop("bad");
    put(folder_ / "bad/asbuilt", "a file where the map should go");
    drop("good");
    EXPECT_EQ(watch(), "");
    EXPECT_TRUE(fs::exists(folder_ / "good/asbuilt/report.html"));
    EXPECT_EQ(status()["jobs"][0]["state"], "failed");
    EXPECT_FALSE(status()["jobs"][0]["why"].get<std::string>().empty());
}

TEST_F(Inbox, LeavesAJobAloneThatEndedTheProgramTwice) {
    drop("fatal");
    drop("good");
    const TrackReader reader = [](const fs::path& clip, const ReadProgress& tell) -> Track {
        if (clip.parent_path().filename() == "fatal") _exit(9);
        return read(clip, tell);
    };
    for (int attempt = 0; attempt < 2; ++attempt) {
        const pid_t child = fork();
        if (child == 0) {
            watch(reader);
            _exit(0);
        }
        int how = 0;
        waitpid(child, &how, 0);
        ASSERT_EQ(WEXITSTATUS(how), 9);
    }
    EXPECT_EQ(watch(reader), "");
    EXPECT_THAT(told_, HasSubstr("fatal: Work on it ended the program twice"));
}

TEST_F(Inbox, HasOneWatcherAtATime) {
    drop("oak");
    fs::create_directories(folder_ / ".sondeline");
    {
        const InboxLock first(folder_ / ".sondeline/lock");
        ASSERT_TRUE(first.held());
        EXPECT_THAT(watch(), HasSubstr("Another watcher"));
    }
    EXPECT_EQ(watch(), "");
}

TEST_F(Inbox, LockEndsWithTheProcessThatIsKilled) {
    fs::create_directories(folder_ / ".sondeline");
    int ready[2];
    ASSERT_EQ(pipe(ready), 0);
    const pid_t child = fork();
    if (child == 0) {
        const InboxLock lock(folder_ / ".sondeline/lock");
        const char answer = lock.held() ? 'y' : 'n';
        if (::write(ready[1], &answer, 1) != 1) _exit(1);
        pause();
    }
    char answer = 0;
    ASSERT_EQ(::read(ready[0], &answer, 1), 1);
    EXPECT_EQ(answer, 'y');
    EXPECT_FALSE(InboxLock(folder_ / ".sondeline/lock").held());
    kill(child, SIGKILL);
    waitpid(child, nullptr, 0);
    EXPECT_TRUE(InboxLock(folder_ / ".sondeline/lock").held());
}

TEST_F(Inbox, StopsWhenAskedAndTakesTheJobUpAgain) {
    drop("oak");
    std::stop_source stop;
    WatchOptions options;
    options.settle_s = 0.0;
    options.interval_s = 0.02;
    options.stop = stop.get_token();
    const TrackReader stopping = [&](const fs::path& clip, const ReadProgress& tell) {
        stop.request_stop();
        tell(0.1);
        return read(clip, tell);
    };
    EXPECT_EQ(watch_inbox(folder_, stopping, options), "");
    EXPECT_FALSE(fs::exists(folder_ / "oak/asbuilt"));
    EXPECT_EQ(watch(), "");
    EXPECT_TRUE(fs::exists(folder_ / "oak/asbuilt/report.html"));
}

TEST_F(Inbox, SurvivesDamagedRecords) {
    drop("oak");
    watch();
    for (const auto& entry : fs::directory_iterator(folder_ / ".sondeline")) {
        if (entry.path().extension() == ".json") put(entry.path(), "{\"exit_code\": \"x\", [");
    }
    EXPECT_EQ(watch(), "");
    EXPECT_EQ(status()["jobs"][0]["state"], "done");
}

// The greatest counts were found by fuzzing: one more than the greatest is no count.
TEST_F(Inbox, TakesAbsurdCountsInRecordsForNone) {
    for (const char* count : {"2147483647", "18446744073709551615", "-1", "1e30", "\"2\""}) {
        const WatchRecords records(folder_);
        records.begin("oak", "s");
        for (const auto& entry : fs::directory_iterator(folder_)) {
            json record = json::parse(get(entry.path()));
            record["unfinished_starts"] = json::parse(count);
            put(entry.path(), record.dump());
        }
        EXPECT_EQ(records.unfinished_starts("oak", "s"), 0) << count;
        records.begin("oak", "s");
        EXPECT_EQ(records.unfinished_starts("oak", "s"), 1) << count;
    }
}

TEST_F(Inbox, ThatIsNotThereIsSaid) {
    EXPECT_FALSE(watch_inbox(folder_ / "nothing", read, {}).empty());
}

}  // namespace
}  // namespace sondeline
