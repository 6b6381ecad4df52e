#include "deliverables/page/profile_labels.hpp"

#include <gtest/gtest.h>

namespace sondeline {
namespace {

constexpr double floor_px = 280.0 - ChartFrame::bottom_px;

// A drawing with its floor and a pipe that runs straight between these heights at its ends.
LabelSpace with_pipe(double start_px, double end_px) {
    LabelSpace space(ChartFrame::width_px, 280.0);
    const double right_px = ChartFrame::width_px - ChartFrame::right_px;
    space.take_line(ChartFrame::left_px, floor_px, right_px, floor_px, 0.5);
    space.take_line(ChartFrame::left_px, start_px, right_px, end_px, 2.5);
    return space;
}

LabelBox box_of(const TextSpot& spot, std::string_view text, double share_left_of_anchor) {
    LabelBox box = text_box(spot.x_px, spot.baseline_px, text, largest_letters_px);
    const double left_px = share_left_of_anchor * (box.right_px - box.left_px);
    return {box.left_px - left_px, box.top_px, box.right_px - left_px, box.bottom_px};
}

TEST(EndName, StandsOnTheFloorWhereNothingElseIs) {
    LabelSpace space = with_pipe(120.0, 150.0);
    EXPECT_EQ(place_end_name(ChartFrame{}, ProfileEnd::start, "house", space).baseline_px,
              floor_px - 7.0);
    EXPECT_EQ(place_end_name(ChartFrame{}, ProfileEnd::end, "tank", space).baseline_px,
              floor_px - 7.0);
}

TEST(EndName, GivesWayToAPipeThatEndsOnTheFloorAndToTheNoteThere) {
    LabelSpace space = with_pipe(170.0, floor_px - 8.0);
    const LabelBox note{726.0, floor_px - 43.0, 744.0, floor_px - 25.0};
    space.take(note);
    const LabelSpace before = space;
    const TextSpot at = place_end_name(ChartFrame{}, ProfileEnd::end, "box", space);
    EXPECT_EQ(before.covered_px2(box_of(at, "box", 1.0)), 0.0);
}

TEST(WaterName, StandsUnderTheWaterWhereThereIsRoom) {
    LabelSpace space = with_pipe(120.0, 150.0);
    const TextSpot at = place_water_name(ChartFrame{}, {400.0, 135.0}, "standing water", space);
    EXPECT_EQ(at.x_px, 400.0);
    EXPECT_GT(at.baseline_px, 150.0);
}

TEST(WaterName, DoesNotStandAcrossTheFloorOrTheNumberOfANote) {
    LabelSpace space = with_pipe(190.0, 211.0);
    space.take({390.0, 166.0, 408.0, 184.0});
    const LabelSpace before = space;
    const TextSpot at = place_water_name(ChartFrame{}, {468.0, 211.0}, "standing water", space);
    EXPECT_EQ(before.covered_px2(box_of(at, "standing water", 0.5)), 0.0);
}

TEST(WaterName, DoesNotStandOnTheNextOne) {
    LabelSpace space = with_pipe(120.0, 150.0);
    const TextSpot one = place_water_name(ChartFrame{}, {300.0, 135.0}, "standing water", space);
    const LabelSpace before = space;
    const TextSpot next = place_water_name(ChartFrame{}, {360.0, 137.0}, "standing water", space);
    EXPECT_NE(one.x_px, next.x_px);
    EXPECT_EQ(before.covered_px2(box_of(next, "standing water", 0.5)), 0.0);
}

}  // namespace
}  // namespace sondeline
