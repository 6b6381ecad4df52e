#include "pipeline/copied_clips.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace sondeline {
namespace {

using testing::HasSubstr;

// Three runs of one clip each, with the contents of the clips.
struct ThreeRuns {
    Job job;
    std::vector<Track> tracks;
    RunTracks joined;

    explicit ThreeRuns(const std::vector<std::string>& contents) {
        for (std::size_t i = 0; i < contents.size(); ++i) {
            const std::string number = std::to_string(i + 1);
            Run run;
            run.id.text = "L" + number;
            run.footage = {number + ".mp4"};
            job.runs.push_back(run);
            job.footage.push_back({run.footage[0], run.footage[0]});
            Track track;
            track.clip.sha256 = contents[i];
            tracks.push_back(track);
            joined.emplace(run.id, JoinedTrack{});
        }
        leave_out_copied_clips(tracks, job, joined);
    }
};

TEST(CopiedClips, OfTwoRunsAreThoseOfNeither) {
    const ThreeRuns runs({"aa", "bb", "aa"});
    EXPECT_EQ(runs.joined.size(), 1U);
    EXPECT_TRUE(runs.joined.contains(RunId{"L2"}));
    ASSERT_EQ(runs.job.findings.size(), 2U);
    EXPECT_EQ(runs.job.findings[0].where.run, "L1");
    EXPECT_EQ(runs.job.findings[0].consequence, Consequence::run_not_measured);
    EXPECT_THAT(runs.job.findings[0].what, HasSubstr("as 3.mp4 of run L3"));
    EXPECT_THAT(runs.job.findings[1].what, HasSubstr("as 1.mp4 of run L1"));
}

TEST(CopiedClips, AreNotSeenInClipsThatCouldNotBeRead) {
    EXPECT_EQ(ThreeRuns({"", "bb", ""}).joined.size(), 3U);
}

}  // namespace
}  // namespace sondeline
