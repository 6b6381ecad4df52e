#include "survey/place_notes.hpp"

#include <gtest/gtest.h>

#include "survey/made_reel.hpp"

namespace sondeline {
namespace {

using made::NotedRuns;

constexpr double foot = 0.3048;

struct Placed {
    std::vector<SiteNote> notes;
    Findings findings;
};

Placed place(const NotedRuns& runs) {
    Placed placed;
    placed.notes = place_notes(runs.job, runs.reels(), LengthUnit::foot, placed.findings);
    return placed;
}

TEST(PlaceNotes, PutsANoteAtItsCounter) {
    NotedRuns runs;
    runs.run(62.7);
    runs.note("A", NoteCategory::root, 46.0);
    const Placed placed = place(runs);
    ASSERT_EQ(placed.notes.size(), 1u);
    EXPECT_NEAR(placed.notes[0].x_m, 46.0 * foot, 1e-9);
    EXPECT_TRUE(placed.findings.empty());
}

TEST(PlaceNotes, LeavesOutANoteBeyondTheEndOfItsRunAndSaysThatItIsNotDrawn) {
    NotedRuns runs;
    runs.run(62.7);
    runs.note("A", NoteCategory::collapse, 99.0);
    const Placed placed = place(runs);
    EXPECT_TRUE(placed.notes.empty());
    ASSERT_EQ(placed.findings.size(), 1u);
    const Finding& finding = placed.findings[0];
    EXPECT_EQ(finding.where.file, "notes.csv");
    EXPECT_EQ(finding.where.row, 2);
    EXPECT_EQ(finding.consequence, Consequence::input_rejected);
    EXPECT_NE(finding.what.find("36.3 ft beyond the end of the run"), std::string::npos);
    EXPECT_NE(finding.what.find("neither drawn nor priced"), std::string::npos);
    EXPECT_FALSE(finding.what_to_do.empty());
}

TEST(PlaceNotes, LeavesOutANoteBeforeTheStartOfItsRun) {
    NotedRuns runs;
    runs.run(62.7);
    runs.tracks[0] = made::pushed_between(10.0, 62.7);
    runs.note("A", NoteCategory::crack, 2.0);
    const Placed placed = place(runs);
    EXPECT_TRUE(placed.notes.empty());
    ASSERT_EQ(placed.findings.size(), 1u);
    EXPECT_NE(placed.findings[0].what.find("8.0 ft before the start"), std::string::npos);
}

TEST(PlaceNotes, KeepsOnlyWhereItBeginsOfANoteThatReachesPastTheEnd) {
    NotedRuns runs;
    runs.run(57.4);
    Note& water = runs.note("A", NoteCategory::standing_water, 20.0);
    water.to_counter = Cell<double>{70.0, water.source};
    const Placed placed = place(runs);
    ASSERT_EQ(placed.notes.size(), 1u);
    EXPECT_NEAR(placed.notes[0].x_m, 20.0 * foot, 1e-9);
    EXPECT_FALSE(placed.notes[0].to_x_m.has_value());
    ASSERT_EQ(placed.findings.size(), 1u);
    EXPECT_NE(placed.findings[0].what.find("12.6 ft beyond the end"), std::string::npos);
    EXPECT_NE(placed.findings[0].what.find("drawn where it begins"), std::string::npos);
}

TEST(PlaceNotes, LeavesWhatIsToBeSaidOfAnEndThatDoesNotFitToTheComparisonOfEnds) {
    NotedRuns runs;
    runs.run(51.9);
    runs.note("A", NoteCategory::end, 64.4);
    const Placed placed = place(runs);
    EXPECT_TRUE(placed.notes.empty());
    EXPECT_TRUE(placed.findings.empty());
}

TEST(PlaceNotes, ReportsANoteWithoutARunOrACounter) {
    NotedRuns runs;
    runs.run(51.9);
    runs.note("nowhere", NoteCategory::root, 6.0);
    const Placed placed = place(runs);
    EXPECT_TRUE(placed.notes.empty());
    ASSERT_EQ(placed.findings.size(), 1u);
    EXPECT_EQ(placed.findings[0].severity, Severity::info);
}

}  // namespace
}  // namespace sondeline
