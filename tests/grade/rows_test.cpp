#include "grade/rows.hpp"

#include <cmath>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "grade/made_run.hpp"

namespace sondeline::grade {
namespace {

using testing::HasSubstr;
using testing::SizeIs;

AlignedRun empty_run() {
    made::Survey survey;
    survey.spacing_m = 0.0;
    return made::make_run({}, survey, 1).lines.runs.front();
}

void add(AlignedRun& run, VerticalKind kind, double station_m, double depth_m,
         std::optional<double> ground_m) {
    StationedVertical seen;
    seen.station_m = station_m;
    seen.row.kind = kind;
    seen.row.depth_m = {depth_m, 0.05};
    if (ground_m) seen.row.ground_m = Estimate{*ground_m, 0.03};
    run.vertical.push_back(seen);
    run.run.vertical.push_back(seen.row);
}

TEST(Rows, TakeSondeHeightOffATransmittersDepth) {
    AlignedRun run = empty_run();
    run.run.sonde_height_m = 0.04;
    add(run, VerticalKind::sonde_depth, 5.0, 1.00, 100.0);
    const RunRows rows = make_rows(run, ZReference::benchmark, {});
    ASSERT_THAT(rows.rows, SizeIs(1));
    EXPECT_NEAR(rows.rows[0].y_m, 98.96, 1e-12);
    EXPECT_NEAR(rows.rows[0].sd_m, std::hypot(0.05, 0.03), 1e-12);
}

// 4 in SDR 35: outside diameter 4.215 in (ASTM D3034).
TEST(Rows, TakeTheOutsideDiameterOffAProbedDepth) {
    AlignedRun run = empty_run();
    run.run.material = "SDR 35";
    add(run, VerticalKind::probe_depth, 5.0, 0.90, 100.0);
    const RunRows rows = make_rows(run, ZReference::benchmark, {});
    ASSERT_THAT(rows.rows, SizeIs(1));
    EXPECT_NEAR(rows.rows[0].y_m, 99.10 - 4.215 * 0.0254, 1e-12);
}

TEST(Rows, LeaveOutProbedDepthsOfAPipeOfUnknownSize) {
    AlignedRun run = empty_run();
    run.run.diameter_m.reset();
    add(run, VerticalKind::probe_depth, 5.0, 0.90, 100.0);
    const RunRows rows = make_rows(run, ZReference::benchmark, {});
    EXPECT_THAT(rows.rows, SizeIs(0));
    ASSERT_THAT(rows.findings, SizeIs(1));
    EXPECT_THAT(rows.findings[0].what, HasSubstr("diameter"));
}

TEST(Rows, InterpolateGroundBetweenKnownPoints) {
    AlignedRun run = empty_run();
    add(run, VerticalKind::taped_start, 0.0, 1.0, 100.0);
    add(run, VerticalKind::sonde_depth, 6.0, 1.0, {});
    add(run, VerticalKind::taped_end, 24.0, 1.0, 98.0);
    const RunRows rows = make_rows(run, ZReference::benchmark, {});
    ASSERT_THAT(rows.rows, SizeIs(3));
    EXPECT_TRUE(rows.rows[1].ground_interpolated);
    EXPECT_NEAR(rows.rows[1].y_m, 99.5 - 1.0 - 0.05, 1e-12);
}

TEST(Rows, WithoutAnyGroundAreMinusTheDepth) {
    AlignedRun run = empty_run();
    add(run, VerticalKind::open_depth, 3.0, 0.8, {});
    const RunRows rows = make_rows(run, ZReference::benchmark, {{0, 2.0, 5.0, {}, "water"}});
    EXPECT_EQ(rows.z_reference, ZReference::below_ground);
    ASSERT_THAT(rows.rows, SizeIs(1));  // water speaks of true level, which depth is not
    EXPECT_NEAR(rows.rows[0].y_m, -0.8, 1e-12);
    EXPECT_THAT(rows.waters, SizeIs(1));
}

TEST(Rows, OfStillWaterSayThatBothShoresAreLevel) {
    AlignedRun run = empty_run();
    add(run, VerticalKind::open_depth, 3.0, 0.8, 100.0);
    const RunRows rows = make_rows(run, ZReference::benchmark, {{0, 6.0, 9.0, 0.03, "3 cm"}});
    ASSERT_THAT(rows.rows, SizeIs(3));
    EXPECT_EQ(rows.rows[1].y_m, 0.0);
    EXPECT_NEAR(rows.rows[1].station_m, 6.0, 1e-9);
    EXPECT_NEAR(*rows.rows[1].less_at_m, 9.0, 1e-9);
    EXPECT_NEAR(rows.rows[1].sd_m, 0.010, 1e-12);
    EXPECT_NEAR(rows.rows[2].y_m, 0.03, 1e-12);  // shore less the invert in the middle
    EXPECT_NEAR(*rows.rows[2].less_at_m, 7.5, 1e-9);
}

// Water from 6 to 9 m as the footage shows it, deepest at 7.5 m by 30 % of the bore.
StationedVertical seen_in_footage(bool both_shores, bool deepest_unseen) {
    StationedVertical seen;
    seen.station_m = 6.0;
    seen.to_station_m = 9.0;
    seen.row.kind = VerticalKind::still_water;
    seen.row.x_m = 6.0;
    seen.row.to_x_m = 9.0;
    SeenWater water;
    water.from_sd_m = 0.1;
    water.to_sd_m = 0.1;
    water.from_seen = true;
    water.to_seen = both_shores;
    water.deepest_unseen = deepest_unseen;
    water.depths = {{6.6, {0.1, 0.05}}, {7.5, {0.3, 0.05}}, {8.4, {0.1, 0.05}}};
    seen.row.water = water;
    return seen;
}

// The bore of 4 in SDR 35 is 3.975 in (ASTM D3034, minimum wall).
TEST(Rows, OfWaterInTheFootageSoundTheInvertBelowItsSurface) {
    AlignedRun run = empty_run();
    run.run.material = "SDR 35";
    add(run, VerticalKind::open_depth, 3.0, 0.8, 100.0);
    run.vertical.push_back(seen_in_footage(true, false));
    const RunRows rows = make_rows(run, ZReference::benchmark, {});
    ASSERT_GE(rows.rows.size(), 3U);
    EXPECT_EQ(rows.rows[1].y_m, 0.0);
    EXPECT_GT(rows.rows[1].sd_m, 0.010);  // its shores are known less well than it is level
    EXPECT_NEAR(rows.rows[2].y_m, 0.3 * 3.975 * 0.0254, 1e-3);
    EXPECT_NEAR(*rows.rows[2].less_at_m, 7.5, 1e-9);
    EXPECT_GT(rows.rows[2].sd_m, 0.05 * 0.1);
}

TEST(Rows, TakeNoLevelFromWaterWithoutItsSecondShore) {
    AlignedRun run = empty_run();
    add(run, VerticalKind::open_depth, 3.0, 0.8, 100.0);
    run.vertical.push_back(seen_in_footage(false, false));
    const RunRows rows = make_rows(run, ZReference::benchmark, {});
    EXPECT_THAT(rows.rows, SizeIs(1));
    EXPECT_THAT(rows.waters, SizeIs(1));
}

// Its shores lie at one height whatever is known of its depth.
TEST(Rows, OfWaterWhoseDeepestPartWasNotSeenTakeTheLevelOnly) {
    AlignedRun run = empty_run();
    run.run.material = "SDR 35";
    add(run, VerticalKind::open_depth, 3.0, 0.8, 100.0);
    run.vertical.push_back(seen_in_footage(true, true));
    const RunRows rows = make_rows(run, ZReference::benchmark, {});
    ASSERT_THAT(rows.rows, SizeIs(2));
    EXPECT_EQ(rows.rows[1].y_m, 0.0);
    EXPECT_EQ(rows.rows[1].station_m, 6.0);
    EXPECT_EQ(*rows.rows[1].less_at_m, 9.0);
}

TEST(Rows, GiveSubmergedWaterNoGreatestDepth) {
    AlignedRun run = empty_run();
    run.vertical.push_back(seen_in_footage(true, true));
    const RunRows rows = make_rows(run, ZReference::benchmark, {});
    ASSERT_THAT(rows.waters, SizeIs(1));
    EXPECT_TRUE(rows.waters[0].deepest_unseen);
    EXPECT_FALSE(rows.waters[0].depth_m);
}

TEST(Rows, CountWaterThatIsNotedAndSeenOnce) {
    AlignedRun run = empty_run();
    add(run, VerticalKind::open_depth, 3.0, 0.8, 100.0);
    add(run, VerticalKind::still_water, 6.05, 0.0, {});
    run.vertical.back().to_station_m = 9.02;
    EXPECT_THAT(make_rows(run, ZReference::benchmark, {{0, 6.0, 9.0, {}, "water"}}).waters,
                SizeIs(1));
    EXPECT_THAT(make_rows(run, ZReference::benchmark, {{0, 12.0, 14.0, {}, "water"}}).waters,
                SizeIs(2));
}

TEST(Rows, TakeWaterForSeenInTheFootageOnlyWhereTheFootageShowsIt) {
    AlignedRun run = empty_run();
    add(run, VerticalKind::still_water, 6.0, 0.0, {});
    run.vertical.back().to_station_m = 9.0;
    run.vertical.back().row.source = "standing water, row 3";
    const Water noted = make_rows(run, ZReference::benchmark, {}).waters.at(0);
    EXPECT_EQ(noted.witness, Witness::note);
    EXPECT_EQ(noted.words, "standing water, row 3");
    run.vertical = {seen_in_footage(true, false)};
    EXPECT_EQ(make_rows(run, ZReference::benchmark, {}).waters.at(0).witness, Witness::footage);
}

TEST(Rows, LeaveOutWhatIsNoDepthAndSaySo) {
    AlignedRun run = empty_run();
    add(run, VerticalKind::sonde_depth, 5.0, std::nan(""), 100.0);
    add(run, VerticalKind::sonde_depth, 5.0, -1.0, 100.0);
    add(run, VerticalKind::sonde_depth, 50.0, 1.0, 100.0);
    add(run, VerticalKind::sonde_depth, 5.0, 1e300, 100.0);
    add(run, VerticalKind::sonde_depth, 5.0, 1.0, 100.0);
    const RunRows rows = make_rows(run, ZReference::benchmark, {});
    EXPECT_THAT(rows.rows, SizeIs(1));
    ASSERT_THAT(rows.findings, SizeIs(1));
    EXPECT_THAT(rows.findings[0].what, HasSubstr("4 of the depths"));
}

TEST(Rows, AreThinnedWhenThereAreVeryMany) {
    AlignedRun run = empty_run();
    for (int i = 0; i < 5000; ++i) {
        add(run, VerticalKind::sonde_depth, 24.0 * i / 5000.0, 1.0, 100.0);
    }
    const RunRows rows = make_rows(run, ZReference::benchmark, {});
    EXPECT_LE(rows.rows.size(), kMaxRows);
    EXPECT_THAT(rows.findings, SizeIs(1));
}

TEST(Rows, TakeANoteAndFootageOfTheSameWaterForOneWithBothWitnesses) {
    AlignedRun run = made::make_run({}, {}, 1).lines.runs.front();
    run.vertical.push_back(seen_in_footage(true, true));
    const std::vector<NotedWater> noted{{0, 6.3, 8.8, 0.03, "water stands here"}};
    const RunRows rows = make_rows(run, ZReference::benchmark, noted);
    ASSERT_EQ(rows.waters.size(), 1U);
    const Water& water = rows.waters.front();
    EXPECT_EQ(water.witness, Witness::footage);
    EXPECT_EQ(water.note, "water stands here");
    EXPECT_NEAR(water.from_m, 6.0, 1e-9);
    EXPECT_NEAR(*water.depth_m, 0.03, 1e-12);
    const std::vector<NotedWater> elsewhere{{0, 12.0, 15.0, {}, "water stands there"}};
    EXPECT_EQ(make_rows(run, ZReference::benchmark, elsewhere).waters.size(), 2U);
}

}  // namespace
}  // namespace sondeline::grade
