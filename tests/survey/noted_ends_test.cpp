#include "survey/noted_ends.hpp"

#include <gtest/gtest.h>

#include "survey/made_reel.hpp"
#include "survey/place_notes.hpp"

namespace sondeline {
namespace {

using made::NotedRuns;

Findings told(const NotedRuns& runs) {
    Findings findings;
    tell_ends_noted_elsewhere(runs.job, runs.reels(), findings);
    return findings;
}

bool says(const Finding& finding, const char* words) {
    return finding.what.find(words) != std::string::npos;
}

TEST(NotedEnds, SaysOnceThatTheClipsOfTwoRunsMayBeExchangedWhenEachNoteFitsTheOther) {
    NotedRuns runs;
    runs.run(51.9);
    runs.run(64.4);
    runs.run(30.0);
    runs.note("A", NoteCategory::end, 64.4);
    runs.note("B", NoteCategory::end, 51.9);
    const Findings findings = told(runs);
    ASSERT_EQ(findings.size(), 1u);
    EXPECT_EQ(findings[0].severity, Severity::caution);
    EXPECT_EQ(findings[0].where.file, "notes.csv");
    EXPECT_EQ(findings[0].where.row, 2);
    EXPECT_EQ(findings[0].where.run, "A");
    EXPECT_TRUE(says(findings[0], "64.4 on the counter"));
    EXPECT_TRUE(says(findings[0], "goes to 51.9. The note is not drawn."));
    EXPECT_TRUE(says(findings[0], "the clips of A and B may be exchanged"));
}

TEST(NotedEnds, LeaveOutTheClipsOfTwoRunsWhoseNotesEachFitTheOther) {
    NotedRuns runs;
    runs.run(51.9);
    runs.run(64.4);
    runs.run(30.0);
    runs.note("A", NoteCategory::end, 64.4);
    std::vector<ReelReading> reels = runs.reels();
    leave_out_exchanged_clips(runs.job, reels);
    EXPECT_TRUE(reels[0].length_m) << "one note alone may be wrong";
    runs.note("B", NoteCategory::end, 51.9);
    reels = runs.reels();
    leave_out_exchanged_clips(runs.job, reels);
    EXPECT_FALSE(reels[0].length_m);
    EXPECT_FALSE(reels[1].length_m);
    EXPECT_EQ(reels[0].track, nullptr);
    EXPECT_TRUE(reels[0].metres_per_count);
    EXPECT_TRUE(reels[2].length_m);
}

TEST(NotedEnds, SaysOfExchangedClipsThatNothingOfThemWasUsedAndOfOneNoteAloneDoesNot) {
    NotedRuns runs;
    runs.run(51.9);
    runs.run(64.4);
    runs.note("A", NoteCategory::end, 64.4);
    const Findings of_one = told(runs);
    ASSERT_EQ(of_one.size(), 1u);
    EXPECT_FALSE(says(of_one[0], "was used"));
    EXPECT_EQ(of_one[0].consequence, Consequence::input_rejected);
    runs.note("B", NoteCategory::end, 51.9);
    const Findings of_both = told(runs);
    ASSERT_EQ(of_both.size(), 1u);
    EXPECT_TRUE(says(of_both[0], "Nothing that these two clips show was used."));
    EXPECT_EQ(of_both[0].consequence, Consequence::run_not_measured);
}

TEST(NotedEnds, LeaveTheClipsOfRunsOfWhichOneHasAnEndThatFits) {
    NotedRuns runs;
    runs.run(51.9);
    runs.run(64.4);
    runs.note("A", NoteCategory::end, 51.9);
    runs.note("A", NoteCategory::end, 64.4);
    runs.note("B", NoteCategory::end, 51.9);
    std::vector<ReelReading> reels = runs.reels();
    leave_out_exchanged_clips(runs.job, reels);
    EXPECT_TRUE(reels[0].length_m);
    EXPECT_TRUE(reels[1].length_m);
}

// The note of A fits B, that of B fits C, and that of C none: no two fit each other.
TEST(NotedEnds, LeaveTheClipsOfThreeRunsWhoseNotesFitOneAfterTheOther) {
    NotedRuns runs;
    runs.run(51.9);
    runs.run(64.4);
    runs.run(30.0);
    runs.note("A", NoteCategory::end, 64.4);
    runs.note("B", NoteCategory::end, 30.1);
    std::vector<ReelReading> reels = runs.reels();
    leave_out_exchanged_clips(runs.job, reels);
    for (const ReelReading& reel : reels) EXPECT_TRUE(reel.length_m);
}

// What the crew typed of a run's start does not hang on its clip.
TEST(NotedEnds, KeepTheTypedStartOfARunWhoseClipIsLeftOut) {
    NotedRuns runs;
    runs.run(51.9);
    runs.run(64.4);
    runs.job.runs[0].counter_at_start = Cell<double>{2.0, {}};
    runs.note("A", NoteCategory::end, 64.4);
    runs.note("B", NoteCategory::end, 51.9);
    std::vector<ReelReading> reels = runs.reels();
    leave_out_exchanged_clips(runs.job, reels);
    EXPECT_DOUBLE_EQ(reels[0].start, 2.0);
}

TEST(NotedEnds, LeaveANoteToItsRunWhereNoOtherNoteOfItsEndFits) {
    NotedRuns runs;
    runs.run(51.9);
    runs.run(32.9);
    runs.note("A", NoteCategory::end, 32.8);
    EXPECT_TRUE(notes_of_another_run(runs.job, runs.reels()).empty());
}

TEST(NotedEnds, TakeNoNoteOfAnotherNameAlongWithOneOfAnotherRun) {
    NotedRuns runs;
    runs.run(51.9);
    runs.run(32.9);
    runs.run(20.0);
    runs.note("A", NoteCategory::end, 51.9);
    runs.note("C", NoteCategory::root, 5.0);
    runs.note("A", NoteCategory::end, 32.8);
    const auto found = notes_of_another_run(runs.job, runs.reels());
    ASSERT_EQ(found.size(), 1u);
    EXPECT_EQ(found[0].notes, (std::vector<std::size_t>{2}));
    const Findings findings = told(runs);
    ASSERT_EQ(findings.size(), 1u);
    EXPECT_TRUE(says(findings[0], "looks like one of B. It is not used."));
    EXPECT_NE(findings[0].what_to_do.find("this row"), std::string::npos);
}

TEST(NotedEnds, SaysNothingOfNotesThatFitTheirOwnFootage) {
    NotedRuns runs;
    runs.run(51.9);
    runs.run(64.4);
    runs.note("A", NoteCategory::end, 51.9);
    runs.note("B", NoteCategory::cap, 64.2);  // two steps of the counter less
    EXPECT_TRUE(told(runs).empty());
}

TEST(NotedEnds, TakesACounterWrittenWithoutDecimalsForARoundedOne) {
    NotedRuns runs;
    runs.run(51.4);
    runs.note("A", NoteCategory::end, 52.0);
    EXPECT_TRUE(told(runs).empty());
    runs.job.notes[0].counter->value = 52.1;
    EXPECT_EQ(told(runs).size(), 1u);
}

TEST(NotedEnds, NamesNoOtherRunWhenTwoWouldFit) {
    NotedRuns runs;
    runs.run(51.9);
    runs.run(64.4);
    runs.run(64.3);
    runs.note("A", NoteCategory::end, 64.4);
    const Findings findings = told(runs);
    ASSERT_EQ(findings.size(), 1u);
    EXPECT_FALSE(says(findings[0], "exchanged"));
    EXPECT_NE(findings[0].what_to_do.find("longer than measured"), std::string::npos);
}

TEST(NotedEnds, NamesNoOtherRunWhoseOwnNoteFitsItsFootage) {
    NotedRuns runs;
    runs.run(51.9);
    runs.run(64.4);
    runs.note("A", NoteCategory::end, 64.4);
    runs.note("B", NoteCategory::end, 64.4);
    const Findings findings = told(runs);
    ASSERT_EQ(findings.size(), 1u);
    EXPECT_FALSE(says(findings[0], "exchanged"));
}

TEST(NotedEnds, SaysThatALengthMayBeTooLongWhereTheHeadWentPastTheNotedEnd) {
    NotedRuns runs;
    runs.run(57.4);
    runs.note("A", NoteCategory::end, 55.1);
    const Findings findings = told(runs);
    ASSERT_EQ(findings.size(), 1u);
    EXPECT_NE(findings[0].what_to_do.find("too long"), std::string::npos);
    EXPECT_FALSE(says(findings[0], "not drawn"));
    EXPECT_EQ(findings[0].consequence, Consequence::none);
}

TEST(NotedEnds, SaysNothingOfACapOnTheWayToAnEndThatFits) {
    NotedRuns runs;
    runs.run(57.4);
    runs.note("A", NoteCategory::cap, 20.3);
    runs.note("A", NoteCategory::end, 57.4);
    EXPECT_TRUE(told(runs).empty());
}

// The notes of B, two of them, stand under the name of A.
TEST(NotedEnds, NamesNotesOfAnotherRunWithThoseWrittenDownBeforeThem) {
    NotedRuns runs;
    runs.run(51.9);
    runs.run(32.9);
    runs.note("A", NoteCategory::root, 12.0);
    runs.note("A", NoteCategory::end, 51.9);
    runs.note("A", NoteCategory::standing_water, 16.3);
    runs.note("A", NoteCategory::end, 32.8);
    const auto found = notes_of_another_run(runs.job, runs.reels());
    ASSERT_EQ(found.size(), 1u);
    EXPECT_EQ(found[0].notes, (std::vector<std::size_t>{2, 3}));
    EXPECT_EQ(found[0].other, 1u);
    const Findings findings = told(runs);
    ASSERT_EQ(findings.size(), 1u);
    EXPECT_EQ(findings[0].where.row, 5);
    EXPECT_TRUE(says(findings[0], "The footage of B goes just that far"));
    EXPECT_TRUE(says(findings[0], "and with it the one written down before it"));
    EXPECT_EQ(findings[0].consequence, Consequence::input_rejected);
    Findings of_places;
    const auto placed = place_notes(runs.job, runs.reels(), LengthUnit::foot, of_places);
    ASSERT_EQ(placed.size(), 2u);
    EXPECT_EQ(placed[1].note, 1);
}

TEST(NotedEnds, LeavesANoteToItsRunWhereNoOtherOrTwoGoAsFar) {
    NotedRuns runs;
    runs.run(51.9);
    runs.run(40.0);
    runs.note("A", NoteCategory::end, 51.9);
    runs.note("A", NoteCategory::end, 32.8);
    EXPECT_TRUE(notes_of_another_run(runs.job, runs.reels()).empty());
    runs.run(32.9);
    EXPECT_EQ(notes_of_another_run(runs.job, runs.reels()).size(), 1u);
    runs.note("C", NoteCategory::cap, 32.9);  // C has an end of its own
    EXPECT_TRUE(notes_of_another_run(runs.job, runs.reels()).empty());
    runs.job.notes.pop_back();
    runs.run(32.7);
    EXPECT_TRUE(notes_of_another_run(runs.job, runs.reels()).empty());
}

TEST(NotedEnds, DoesNotCompareACounterThatWasSetAnewOnTheWay) {
    NotedRuns runs;
    runs.run(57.4);
    runs.tracks[0].furthest->pushed = 80.0;
    runs.note("A", NoteCategory::end, 80.0);
    EXPECT_TRUE(told(runs).empty());
    EXPECT_FALSE(end_fits(runs.job.notes[0], runs.reels()[0]).has_value());
}

// The counter stood at 1.7 before it was set to 0 at the structure, where the run begins.
TEST(NotedEnds, AreHeldAgainstACounterThatWasSetBeforeTheRunBegan) {
    NotedRuns runs;
    runs.run(51.9);
    JoinedTrack& track = runs.tracks[0];
    const auto set_at_start = [&](double pushed) {
        PushSample before = track.samples.front();
        before.sample.time_s = -5.0;
        before.sample.counter = 1.7;
        before.pushed = pushed;
        track.samples.insert(track.samples.begin(), before);
    };
    set_at_start(0.0);
    EXPECT_EQ(end_fits(runs.note("A", NoteCategory::end, 51.9), runs.reels()[0]), true);
    EXPECT_EQ(end_fits(runs.note("A", NoteCategory::end, 64.4), runs.reels()[0]), false);
    track.samples.front().pushed = 20.0;  // set anew on the way
    EXPECT_FALSE(end_fits(runs.note("A", NoteCategory::end, 51.9), runs.reels()[0]));
}

}  // namespace
}  // namespace sondeline
