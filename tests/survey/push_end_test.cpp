#include "survey/push_end.hpp"

#include <gtest/gtest.h>

#include "survey/one_run_job.hpp"

namespace sondeline {
namespace {

using namespace made;

// A run whose footage goes to 60 ft.
struct Filmed {
    Job job = one_run_job();
    JoinedTrack track = pushed_track(0.0, 60.0);
    Findings findings;

    void fix(double counter) {
        Fix row;
        row.run = job.runs[0].id;
        row.counter = cell(counter);
        job.fixes.push_back(row);
    }
    void note(NoteCategory category, double counter) {
        Note row;
        row.run = job.runs[0].id;
        row.category = category;
        row.counter = cell(counter);
        job.notes.push_back(row);
    }
    bool ends_short() {
        Findings of_reel;
        const ReelReading reel = read_reel(job.runs[0], &track, job.settings, of_reel);
        return footage_ends_short(job, job.runs[0], reel, LengthUnit::foot, findings);
    }
};

TEST(PushEnd, IsThatOfTheFootageWhereNothingWasWrittenDownBeyond) {
    Filmed run;
    run.fix(20.0);
    run.fix(60.9);  // within half a metre: the head was read a little later
    run.note(NoteCategory::end, 60.0);
    EXPECT_FALSE(run.ends_short());
    EXPECT_TRUE(run.findings.empty());
}

TEST(PushEnd, LiesBeyondTheFootageWhereTwoRowsDo) {
    Filmed run;
    run.fix(75.0);
    run.fix(75.0);
    EXPECT_FALSE(run.ends_short()) << "one place, one slip";
    run.note(NoteCategory::root, 90.0);
    EXPECT_TRUE(run.ends_short());
    ASSERT_EQ(run.findings.size(), 1U);
    EXPECT_EQ(run.findings[0].where.run, "L1");
    EXPECT_NE(run.findings[0].what.find("ends 60.0 ft from the start"), std::string::npos);
    EXPECT_NE(run.findings[0].what.find("goes on to 90.0 ft"), std::string::npos);
}

TEST(PushEnd, LiesBeyondTheFootageWhereANoteSaysThatThePipeDoes) {
    Filmed run;
    run.note(NoteCategory::cap, 90.0);
    EXPECT_TRUE(run.ends_short());
    run.note(NoteCategory::end, 60.0);
    EXPECT_FALSE(run.ends_short()) << "the two notes contradict each other";
}

TEST(PushEnd, IsNotAskedForWhereTheRunHasNoLength) {
    Filmed run;
    run.track = {};
    run.note(NoteCategory::end, 90.0);
    EXPECT_FALSE(run.ends_short());
}

TEST(PushEnd, ComesBeforeThatOfThePipeByTheStatus) {
    EXPECT_TRUE(stopped_short(RunStatus::broken));
    EXPECT_TRUE(stopped_short(RunStatus::not_entered));
    EXPECT_FALSE(stopped_short(RunStatus::open));
    EXPECT_FALSE(stopped_short(RunStatus::capped));
}

TEST(PushEnd, IsToldByAStructureACapOrANoteAndNotByTheWayBack) {
    Filmed run;
    const auto told = [&] {
        Findings of_reel;
        const ReelReading reel = read_reel(run.job.runs[0], &run.track, run.job.settings, of_reel);
        return end_is_told(run.job, run.job.runs[0], reel);
    };
    EXPECT_FALSE(told());
    run.job.runs[0].to = StructureId{"pit"};
    EXPECT_TRUE(told());
    run.job.runs[0].to.reset();
    run.job.runs[0].status = RunStatus::capped;
    EXPECT_TRUE(told());
    run.job.runs[0].status = RunStatus::open;
    run.note(NoteCategory::end, 40.0);
    EXPECT_FALSE(told()) << "an end elsewhere";
    run.note(NoteCategory::end, 60.0);
    EXPECT_TRUE(told());
    run.job.notes.clear();
    PushSample back = run.track.samples.back();
    back.sample.time_s += 5.0;
    back.sample.counter = back.pushed = 58.0;  // 2 ft = 0.61 m
    run.track.samples.push_back(back);
    EXPECT_FALSE(told()) << "every push is drawn back";
    run.note(NoteCategory::root, 60.0);
    EXPECT_FALSE(told());
}

}  // namespace
}  // namespace sondeline
