#include "pipeline/read_tracks.hpp"

#include <stdexcept>

#include <gtest/gtest.h>

namespace sondeline {
namespace {

Job job_with_clips(std::initializer_list<const char*> names) {
    Job job;
    for (const char* name : names) job.footage.push_back({name, name});
    return job;
}

TEST(ReadTracks, KeepsTheOrderOfTheClipsOnAnyNumberOfThreads) {
    const Job job = job_with_clips({"a.mp4", "b.mp4", "c.mp4", "d.mp4"});
    const TrackReader reader = [](const std::filesystem::path& clip, const ReadProgress&) {
        Track track;
        track.coverage = clip.string().front() - 'a';
        return track;
    };
    for (const unsigned threads : {1U, 3U, 16U}) {
        ProcessOptions options;
        options.threads = threads;
        const std::vector<Track> tracks = read_tracks(job, reader, options);
        ASSERT_EQ(tracks.size(), 4U);
        for (std::size_t i = 0; i < 4; ++i) {
            EXPECT_EQ(tracks[i].coverage, static_cast<double>(i));
            EXPECT_EQ(tracks[i].clip.name, job.footage[i].name);
        }
    }
}

TEST(ReadTracks, LetsOneClipThatFailsStopNoOther) {
    const Job job = job_with_clips({"good.mp4", "bad.mp4"});
    const TrackReader reader = [](const std::filesystem::path& clip, const ReadProgress&) {
        if (clip == "bad.mp4") throw std::runtime_error("the disk went away");
        return Track{};
    };
    const std::vector<Track> tracks = read_tracks(job, reader, {});
    EXPECT_TRUE(tracks[0].findings.empty());
    ASSERT_EQ(tracks[1].findings.size(), 1U);
    EXPECT_EQ(tracks[1].findings[0].where.file, "bad.mp4");
    EXPECT_EQ(tracks[1].findings[0].consequence, Consequence::input_rejected);
}

TEST(WithTypedPoints, MovesThePointsOfTheClipsOfTheRunThatSaysSo) {
    Job job = job_with_clips({"a.mp4", "b.mp4"});
    job.runs.resize(2);
    job.runs[0].footage = {"b.mp4", "missing.mp4"};
    job.runs[0].counter_decimals = 1;
    job.runs[1].footage = {"a.mp4"};
    Track track;
    track.format = CounterFormat{};
    track.format->integer_cells = 1;
    track.format->decimals = 2;
    track.samples = {{0.0, 2.48, 1.0, CounterState::push, ""}};
    const std::vector<Track> moved = with_typed_points(job, {track, track});
    EXPECT_EQ(*moved[0].samples[0].counter, 2.48);
    EXPECT_NEAR(*moved[1].samples[0].counter, 24.8, 1e-9);
}

TEST(JoinTracks, LeavesOutRunsWithoutFootage) {
    Job job = job_with_clips({"a.mp4"});
    job.runs.resize(2);
    job.runs[0].id.text = "L1";
    job.runs[0].footage = {"a.mp4"};
    job.runs[1].id.text = "L2";
    const std::vector<Track> tracks(1);
    const RunTracks joined = join_tracks(job, tracks);
    EXPECT_TRUE(joined.contains(RunId{"L1"}));
    EXPECT_FALSE(joined.contains(RunId{"L2"}));
}

}  // namespace
}  // namespace sondeline
