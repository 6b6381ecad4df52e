#include "footage/number_shape.hpp"

#include <cmath>
#include <stdexcept>

#include <gtest/gtest.h>

namespace sondeline {
namespace {

NumberGrid grid_of(int places, int decimals, Padding padding, bool inches = false) {
    NumberGrid grid;
    grid.band = {4.0, 24.0, 16.0};
    grid.first_px = 40.0;
    grid.gap_px = 6.0;
    grid.places = places;
    grid.decimals = decimals;
    grid.padding = padding;
    grid.inches = inches;
    return grid;
}

LocatedLine wide_line() {
    LocatedLine line;
    line.crop = {0, 0, 400, 40};
    line.text = {40, 4, 200, 24};
    return line;
}

TEST(NumberShape, NeverAsksForMoreCellsThanALineHas) {
    for (int places = 1; places <= 5; ++places) {
        for (int decimals = 0; decimals <= 3; ++decimals) {
            for (const Padding padding :
                 {Padding::zeros, Padding::blanks, Padding::left, Padding::part}) {
                for (const bool inches : {false, true}) {
                    if (inches && decimals != 2) continue;  // the two cells of the inches
                    if (inches && padding == Padding::part) continue;
                    const NumberGrid grid = grid_of(places, decimals, padding, inches);
                    for (const bool sign : {false, true}) {
                        if (!fits_cells(grid, sign)) {
                            EXPECT_THROW(structure_of(grid, wide_line(), sign), std::length_error);
                            continue;
                        }
                        const LineStructure structure = structure_of(grid, wide_line(), sign);
                        EXPECT_LE(structure.shape.cells, most_line_cells);
                        EXPECT_EQ(structure.cell_left_px.size(),
                                  static_cast<std::size_t>(structure.shape.cells));
                    }
                }
            }
        }
    }
}

// Left edge of the cell that holds a digit of that unit, or the inches' first.
double left_of(const LineStructure& structure, std::int64_t ticks, CellRole::Kind kind) {
    const WrittenLayout* layout = layout_of(structure.shape, ticks);
    for (int i = 0; layout != nullptr && i < structure.shape.cells; ++i) {
        const auto cell = static_cast<std::size_t>(i);
        if (layout->cells[cell].kind == kind) return structure.cell_left_px[cell];
    }
    return -1.0;
}

NumberGrid inches_aside(Padding padding) {
    NumberGrid grid = grid_of(2, 2, padding, true);
    grid.inch_places = InchPlaces::aside;
    grid.aside_px = 8.0;
    return grid;
}

TEST(NumberShape, LetsTheFeetStandFurtherLeftBesideTenInchesThatEndWhereNineDo) {
    const LineStructure structure = structure_of(inches_aside(Padding::blanks), wide_line(), false);
    constexpr auto feet = CellRole::Kind::digit;
    constexpr auto ones = CellRole::Kind::inch_ones;
    constexpr std::int64_t nine = 12 * 12 + 9;
    EXPECT_DOUBLE_EQ(left_of(structure, nine + 1, feet), left_of(structure, nine, feet) - 8.0);
    EXPECT_DOUBLE_EQ(left_of(structure, nine + 1, ones), left_of(structure, nine, ones));
}

TEST(NumberShape, LetsTenInchesStandFurtherRightBehindFeetThatBeginWhereTheyDid) {
    const LineStructure structure = structure_of(inches_aside(Padding::left), wide_line(), false);
    constexpr auto feet = CellRole::Kind::digit;
    constexpr auto ones = CellRole::Kind::inch_ones;
    constexpr std::int64_t nine = 12 * 12 + 9;
    EXPECT_DOUBLE_EQ(left_of(structure, nine + 1, feet), left_of(structure, nine, feet));
    EXPECT_DOUBLE_EQ(left_of(structure, nine + 1, ones), left_of(structure, nine, ones) + 8.0);
}

TEST(NumberShape, KeepsTheDigitsOfASignedNumberBehindItsSign) {
    const NumberGrid grid = grid_of(2, 1, Padding::left);
    const LineStructure structure = structure_of(grid, wide_line(), true);
    const WrittenLayout* above = layout_of(structure.shape, 123);
    const WrittenLayout* below = layout_of(structure.shape, -123);
    ASSERT_NE(above, nullptr);
    ASSERT_NE(below, nullptr);
    EXPECT_FLOAT_EQ(structure.cell_left_px[0], 24.0F);  // a pitch before the first digit
    EXPECT_EQ(class_in_cell(above->cells[0], 123), other_class);
    EXPECT_EQ(class_in_cell(below->cells[0], -123), minus_class);
    for (const WrittenLayout* layout : {above, below}) {
        EXPECT_EQ(class_in_cell(layout->cells[1], 123), 1);
        EXPECT_EQ(class_in_cell(layout->cells[2], 123), 2);
    }
}

// A unit moves on with the number, and its letters may look like digits; a display has none.
TEST(NumberShape, TellsALongerNumberByTheDigitBehindAShorterOneWhereNoUnitMovesWithIt) {
    NumberGrid grid = grid_of(2, 1, Padding::left);
    grid.gap_px = 0.0;
    const auto behind_tenths = [&grid](bool bare_end) {
        grid.bare_end = bare_end;
        const LineStructure structure = structure_of(grid, wide_line(), false);
        const WrittenLayout* short_one = layout_of(structure.shape, 15);
        for (int cell = 0; cell < structure.shape.cells; ++cell) {
            const bool is_third = std::abs(structure.cell_left_px[cell] - 72.0F) < 1.0F;
            const CellRole& role = short_one->cells[cell];
            if (is_third && role.kind != CellRole::Kind::digit) return class_in_cell(role, 15);
        }
        return -1;
    };
    EXPECT_EQ(behind_tenths(false), any_class);
    EXPECT_EQ(behind_tenths(true), other_class);
}

// A blank of a proportional face is narrower than its digits: "%5.1f" moves left by the difference.
TEST(NumberShape, GivesANumberThatMovesByPartOfACellCellsForEveryLength) {
    NumberGrid grid = grid_of(2, 1, Padding::part);
    grid.lead_px = 0.35 * grid.band.pitch_px;
    const LineStructure structure = structure_of(grid, wide_line(), false);
    const auto first_digit_at = [&](std::int64_t ticks) {
        const WrittenLayout* layout = layout_of(structure.shape, ticks);
        for (int cell = 0; cell < structure.shape.cells; ++cell) {
            if (class_in_cell(layout->cells[cell], ticks) < minus_class) {
                return static_cast<double>(structure.cell_left_px[cell]);
            }
        }
        return -1.0;
    };
    EXPECT_NEAR(first_digit_at(111), grid.first_px, 1e-3);
    EXPECT_NEAR(first_digit_at(94), grid.first_px + grid.lead_px, 1e-3);
    EXPECT_NEAR(first_digit_at(1111), grid.first_px - grid.lead_px, 1e-3);
    const WrittenLayout* below = layout_of(structure.shape, -94);
    ASSERT_NE(below, nullptr);
    EXPECT_TRUE(below->negative);
}

TEST(NumberShape, RefusesALongNumberThatMovesAsItGrows) {
    EXPECT_FALSE(fits_cells(grid_of(4, 2, Padding::part)));
    EXPECT_TRUE(fits_cells(grid_of(3, 2, Padding::part)));
    EXPECT_TRUE(fits_cells(grid_of(5, 2, Padding::zeros)));
    EXPECT_TRUE(fits_cells(grid_of(4, 1, Padding::left)));
}

TEST(NumberShape, GrowsToTheRightWhereThePictureEndsBeforeIt) {
    NumberGrid grid = grid_of(1, 1, Padding::zeros);
    EXPECT_EQ(structure_of(grid, wide_line(), false).padding, Padding::blanks);
    grid.first_px = 0.5 * grid.band.pitch_px;
    const LineStructure structure = structure_of(grid, wide_line(), false);
    EXPECT_EQ(structure.padding, Padding::left);
    EXPECT_NE(layout_of(structure.shape, 103), nullptr);
}

// The sign's cell is none that a further digit could stand in.
TEST(NumberShape, HasNoFurtherPlaceWhereASignStandsBeforeTheNumber) {
    NumberGrid grid;
    grid.band = {10.0, 20.0, 15.0};
    grid.first_px = 60.0;
    grid.places = 2;
    grid.decimals = 1;
    grid.padding = Padding::blanks;
    const LineStructure open = structure_of(grid, LocatedLine{}, false);
    grid.sign_before = true;
    const LineStructure behind_sign = structure_of(grid, LocatedLine{}, false);
    EXPECT_EQ(open.cell_left_px.size(), 4U);
    EXPECT_EQ(behind_sign.cell_left_px.size(), 3U);
    EXPECT_EQ(behind_sign.cell_left_px.front(), 60.0F);
}

}  // namespace
}  // namespace sondeline
