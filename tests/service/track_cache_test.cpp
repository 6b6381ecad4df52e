#include <atomic>
#include <chrono>
#include <cstdlib>
#include <thread>

#include <gmock/gmock.h>

#include "sondeline/service.hpp"

#include "service/made_track.hpp"
#include "service/own_folder.hpp"
#include "service/seen_files.hpp"
#include "service/whole_file.hpp"

namespace sondeline {
namespace {

namespace fs = std::filesystem;
using std::chrono::hours;

const std::string sha_a(64, 'a');
const std::string sha_b(64, 'b');

class TrackCacheTest : public OwnFolder {
  protected:
    TrackCache cache() const { return {folder_ / "cache", "0123456789abcdef"}; }

    fs::path entry(const std::string& sha) const {
        return folder_ / "cache/tracks/0123456789abcdef" / (sha + ".track");
    }

    // A clip on disk that was last changed long ago.
    fs::path clip(const std::string& name, const std::string& bytes) const {
        put(folder_ / name, bytes);
        return folder_ / name;
    }

    // Stands for read_clip, and counts how often it is called.
    TrackReader counting_reader() {
        return caching_reader(cache(), [this](const fs::path& file, const ReadProgress&) {
            ++reads_;
            Track track = made_track(file_sha256(file));
            track.clip.name = file.filename().string();
            track.clip.damaged = damaged_;
            track.findings[0].where.file = track.clip.name;
            if (damaged_) track.findings[0].severity = Severity::problem;
            return track;
        });
    }

    int reads_ = 0;
    bool damaged_ = false;
};

TEST_F(TrackCacheTest, GivesBackWhatWasKept) {
    EXPECT_FALSE(kept_track(cache(), sha_a).has_value());
    keep_track(cache(), made_track(sha_a));
    const auto track = kept_track(cache(), sha_a);
    ASSERT_TRUE(track.has_value());
    EXPECT_EQ(track->samples.size(), 3U);
    EXPECT_FALSE(kept_track(cache(), sha_b).has_value());
}

TEST_F(TrackCacheTest, OfAnotherReaderCountsAsAbsent) {
    keep_track(cache(), made_track(sha_a));
    TrackCache other = cache();
    other.reader = "fedcba9876543210";
    EXPECT_FALSE(kept_track(other, sha_a).has_value());
    // Not even when someone copies the entry over.
    fs::create_directories(folder_ / "cache/tracks/fedcba9876543210");
    fs::copy_file(entry(sha_a),
                  folder_ / "cache/tracks/fedcba9876543210" / entry(sha_a).filename());
    EXPECT_FALSE(kept_track(other, sha_a).has_value());
}

TEST_F(TrackCacheTest, NoticesEveryDamagedEntryAndMendsIt) {
    const fs::path file = clip("a.mp4", "some footage");
    const TrackReader reader = counting_reader();
    reader(file, {});
    const fs::path kept = entry(file_sha256(file));
    const std::string good = get(kept);
    ASSERT_GT(good.size(), 500U);
    for (std::size_t at = 0; at < good.size(); at += 7) {
        std::string bad = good;
        bad[at] = static_cast<char>(bad[at] ^ 0x10);
        put(kept, bad);
        EXPECT_FALSE(kept_track(cache(), file_sha256(file)).has_value()) << at;
    }
    for (const std::string& bad : {std::string(), good.substr(0, good.size() / 2), good + good}) {
        put(kept, bad);
        reads_ = 0;
        reader(file, {});
        EXPECT_EQ(reads_, 1);
        EXPECT_EQ(get(kept), good);
    }
}

TEST_F(TrackCacheTest, RefusesAnEntryOfAnotherClip) {
    keep_track(cache(), made_track(sha_a));
    fs::copy_file(entry(sha_a), entry(sha_b));
    EXPECT_FALSE(kept_track(cache(), sha_b).has_value());
}

TEST_F(TrackCacheTest, ReadsAClipOnceUnderAnyName) {
    const TrackReader reader = counting_reader();
    const Track first = reader(clip("a.mp4", "some footage"), {});
    const Track second = reader(clip("b.mp4", "some footage"), {});
    EXPECT_EQ(reads_, 1);
    EXPECT_EQ(first.clip.name, "a.mp4");
    EXPECT_EQ(second.clip.name, "b.mp4");
    EXPECT_EQ(second.findings[0].where.file, "b.mp4");
    reader(clip("a.mp4", "other footage"), {});
    EXPECT_EQ(reads_, 2);
}

TEST_F(TrackCacheTest, KeepsNoClipWhoseMediumFailed) {
    damaged_ = true;
    const TrackReader reader = counting_reader();
    const fs::path file = clip("a.mp4", "some footage");
    reader(file, {});
    reader(file, {});
    EXPECT_EQ(reads_, 2);
}

TEST_F(TrackCacheTest, KeepsNoClipThatGrewWhileItWasRead) {
    const fs::path file = clip("a.mp4", "some footage");
    const TrackReader reader =
        caching_reader(cache(), [&](const fs::path& growing, const ReadProgress&) {
            const std::string sha256 = file_sha256(growing);
            put(growing, "some footage and more");
            return made_track(sha256);
        });
    reader(file, {});
    EXPECT_FALSE(fs::exists(folder_ / "cache/tracks"));
}

TEST_F(TrackCacheTest, ServesWithoutACacheThatCanBeWritten) {
    put(folder_ / "cache", "a file where the folder should be");
    const TrackReader reader = counting_reader();
    EXPECT_EQ(reader(clip("a.mp4", "some footage"), {}).samples.size(), 3U);
    EXPECT_EQ(reads_, 1);
}

TEST_F(TrackCacheTest, DropsWhatWasUnusedForLongestBeyondItsBound) {
    TrackCache small = cache();
    small.most_bytes = 3 * 4096;
    std::vector<std::string> shas;
    for (const char c : {'1', '2', '3', '4', '5'}) {
        shas.emplace_back(64, c);
        keep_track(small, made_track(shas.back()));
        // An hour passes, and the first is used again.
        for (const std::string& sha : shas) {
            if (!fs::exists(entry(sha))) continue;
            fs::last_write_time(entry(sha), fs::last_write_time(entry(sha)) - hours(1));
        }
        EXPECT_TRUE(kept_track(small, shas.front()).has_value()) << c;
    }
    EXPECT_FALSE(kept_track(small, shas[1]).has_value());
    EXPECT_FALSE(kept_track(small, shas[2]).has_value());
    EXPECT_TRUE(kept_track(small, shas[3]).has_value());
    EXPECT_TRUE(kept_track(small, shas[4]).has_value());
}

TEST_F(TrackCacheTest, DropsNothingThatItDidNotWrite) {
    TrackCache none = cache();
    none.most_bytes = 0;
    fs::create_directories(folder_ / "cache/tracks");
    put(folder_ / "cache/tracks/holiday.mp4", "not ours");
    keep_track(none, made_track(sha_a));
    EXPECT_TRUE(fs::exists(folder_ / "cache/tracks/holiday.mp4"));
    EXPECT_FALSE(fs::exists(entry(sha_a)));
}

TEST_F(TrackCacheTest, ServesManyAtOnce) {
    std::atomic<int> wrong{0};
    const auto use = [&] {
        for (int round = 0; round < 100; ++round) {
            const std::string sha(64, static_cast<char>('a' + round % 6));
            const auto track = kept_track(cache(), sha);
            if (track && track->clip.sha256 != sha) ++wrong;
            keep_track(cache(), made_track(sha));
            if (!kept_track(cache(), sha)) ++wrong;
        }
    };
    std::vector<std::jthread> users;
    for (int i = 0; i < 4; ++i) users.emplace_back(use);
    users.clear();
    EXPECT_EQ(wrong, 0);
    for (const auto& file : fs::recursive_directory_iterator(folder_ / "cache")) {
        EXPECT_FALSE(is_half_written(file.path())) << file.path();
    }
}

TEST_F(TrackCacheTest, StandsWhereTheBaseDirectorySpecificationSays) {
    setenv("XDG_CACHE_HOME", "/var/somewhere", 1);
    setenv("HOME", "/home/someone", 1);
    EXPECT_EQ(default_cache_folder(), "/var/somewhere/sondeline");
    setenv("XDG_CACHE_HOME", "relative/is/invalid", 1);
    EXPECT_EQ(default_cache_folder(), "/home/someone/.cache/sondeline");
    unsetenv("XDG_CACHE_HOME");
    EXPECT_EQ(default_cache_folder(), "/home/someone/.cache/sondeline");
    unsetenv("HOME");
    EXPECT_EQ(default_cache_folder(), "");
}

class SeenFiles : public TrackCacheTest {};

TEST_F(SeenFiles, AreKnownWithoutBeingOpened) {
    const fs::path file = clip("a.mp4", "some footage");
    auto mark = mark_of(file);
    ASSERT_TRUE(mark.has_value());
    EXPECT_FALSE(mark->settled);  // it was changed this very second
    remember_sha256(cache(), *mark, sha_a);
    EXPECT_FALSE(seen_sha256(cache(), *mark).has_value());
    mark->settled = true;
    remember_sha256(cache(), *mark, sha_a);
    EXPECT_EQ(seen_sha256(cache(), *mark), sha_a);
}

TEST_F(SeenFiles, ThatChangeAreOthersEvenWithTheOldTimePutBack) {
    const fs::path file = clip("a.mp4", "some footage");
    const auto time = fs::last_write_time(file);
    const auto before = mark_of(file);
    put(file, "same length!");
    fs::last_write_time(file, time);
    EXPECT_NE(mark_of(file)->text, before->text);
}

TEST_F(SeenFiles, AreFilesOnly) {
    EXPECT_FALSE(mark_of(folder_).has_value());
    EXPECT_FALSE(mark_of(folder_ / "nothing").has_value());
}

}  // namespace
}  // namespace sondeline
