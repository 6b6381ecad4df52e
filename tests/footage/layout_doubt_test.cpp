#include "footage/layout_doubt.hpp"

#include <vector>

#include <gtest/gtest.h>

#include "footage/first_digit.hpp"

namespace sondeline {
namespace {

NumberGrid grid_of(int places, int decimals, double point_logit = 2.0) {
    NumberGrid grid;
    grid.places = places;
    grid.decimals = decimals;
    grid.point_logit = point_logit;
    return grid;
}

Candidate candidate(const NumberGrid& grid, FirstDigit first_digit, int jumps = 0) {
    Candidate made;
    made.grid = grid;
    made.faults.first_digit = first_digit;
    made.faults.jumps = jumps;
    return made;
}

TEST(LayoutDoubt, IsAboutThePointOnlyWhereDecimalsAreShownAndNoPointIsSeen) {
    EXPECT_TRUE(point_hardly_seen(grid_of(2, 1, -4.0)));
    EXPECT_FALSE(point_hardly_seen(grid_of(2, 1, 3.0)));
    EXPECT_FALSE(point_hardly_seen(grid_of(3, 0, -4.0)));
}

TEST(LayoutDoubt, LooksForAnotherPlaceOfAPointThatIsLessLikeOneThanLikeAnythingElse) {
    EXPECT_TRUE(point_looks_unlike(grid_of(1, 2, -1.4)));
    EXPECT_FALSE(point_looks_unlike(grid_of(1, 2, 0.4)));
    EXPECT_FALSE(point_looks_unlike(grid_of(3, 0, -1.4)));
}

// Two displays left 0.17 and 0.26 of a pitch between digits in which no point stood.
TEST(LayoutDoubt, TakesNoGapThatNarrowDigitsLeaveForTheRoomOfAPoint) {
    NumberGrid grid = grid_of(2, 3, 0.45);
    grid.band.pitch_px = 10.0;
    for (const double gap_px : {1.7, 2.6}) {
        grid.gap_px = gap_px;
        EXPECT_FALSE(point_stands_in_room(grid)) << gap_px;
    }
    EXPECT_FALSE(point_well_seen(grid));
    grid.gap_px = 5.0;  // of common type
    EXPECT_TRUE(point_stands_in_room(grid));
    EXPECT_TRUE(point_well_seen(grid_of(2, 3, 2.5)));
    EXPECT_FALSE(point_well_seen(grid_of(3, 0, 2.5))) << "it shows none";
}

TEST(LayoutDoubt, IsAboutThePointOfEveryLayoutInWhichItIsHardlySeen) {
    std::vector candidates{candidate(grid_of(3, 2, -2.8), FirstDigit::unknown),
                           candidate(grid_of(2, 3, -4.9), FirstDigit::unknown),
                           candidate(grid_of(4, 1, 1.0), FirstDigit::unknown)};
    doubt_points_hardly_seen(candidates, false);
    EXPECT_NE(candidates[0].structure.doubt, "");
    EXPECT_NE(candidates[1].structure.doubt, "");
    EXPECT_TRUE(candidates[1].structure.format.point_in_doubt);
    EXPECT_EQ(candidates[2].structure.doubt, "");
    EXPECT_FALSE(candidates[2].structure.format.point_in_doubt);
}

TEST(LayoutDoubt, IsNotAboutThePointOfTheFirstLayoutWhereItWasFoundBetweenTheDigits) {
    std::vector candidates{candidate(grid_of(3, 2, -2.8), FirstDigit::unknown),
                           candidate(grid_of(2, 3, -4.9), FirstDigit::unknown)};
    doubt_points_hardly_seen(candidates, true);
    EXPECT_EQ(candidates[0].structure.doubt, "");
    EXPECT_FALSE(candidates[0].structure.format.point_in_doubt);
    EXPECT_NE(candidates[1].structure.doubt, "");
}

TEST(LayoutDoubt, TellsWhereThePointCouldStandToo) {
    EXPECT_TRUE(only_point_differs(grid_of(2, 1), grid_of(1, 2)));
    EXPECT_FALSE(only_point_differs(grid_of(2, 1), grid_of(3, 1)));
    EXPECT_EQ(what_differs(grid_of(2, 1), grid_of(1, 2)),
              "the decimal point could stand one place further left");
    EXPECT_EQ(what_differs(grid_of(1, 2), grid_of(2, 1)),
              "the decimal point could stand one place further right");
}

TEST(LayoutDoubt, SpeaksOfAFurtherDigitForTheShorterOfTwoNumbers) {
    EXPECT_EQ(what_differs(grid_of(2, 1), grid_of(3, 1)), "there could be a further digit");
    EXPECT_NE(what_differs(grid_of(3, 1), grid_of(2, 1)), "there could be a further digit");
}

TEST(LayoutDoubt, IsNoneFromALayoutThatOnlyCutsOffADigitThatCountsOn) {
    const Candidate shorter = candidate(grid_of(2, 1), FirstDigit::moves);
    EXPECT_TRUE(only_cuts_a_digit(shorter, candidate(grid_of(3, 1), FirstDigit::moves)));
    EXPECT_FALSE(only_cuts_a_digit(shorter, candidate(grid_of(3, 1), FirstDigit::moves, 1)));
    EXPECT_FALSE(only_cuts_a_digit(shorter, candidate(grid_of(3, 0), FirstDigit::moves)));
    EXPECT_FALSE(only_cuts_a_digit(candidate(grid_of(3, 1), FirstDigit::moves), shorter));
}

TEST(LayoutDoubt, RemainsWhereTheDigitThatIsCutOffNeverMoves) {
    const Candidate shorter = candidate(grid_of(2, 1), FirstDigit::moves);
    for (const FirstDigit other :
         {FirstDigit::confirmed, FirstDigit::foreign, FirstDigit::unknown}) {
        EXPECT_FALSE(only_cuts_a_digit(shorter, candidate(grid_of(3, 1), other)));
    }
}

}  // namespace
}  // namespace sondeline
