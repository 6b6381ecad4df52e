#include "footage/counter_format.hpp"

#include <algorithm>
#include <random>
#include <utility>
#include <vector>

#include <gtest/gtest.h>

namespace sondeline {
namespace {

std::string shown(const CounterShape& shape, std::int64_t ticks) {
    const WrittenLayout* layout = layout_of(shape, ticks);
    if (layout == nullptr) return "cannot be shown";
    std::string text;
    for (int cell = 0; cell < shape.cells; ++cell) {
        text += "0123456789-."[class_in_cell(layout->cells[cell], ticks)];
    }
    return text;
}

TEST(CounterFormat, ZeroPaddedCountersShowEveryPlace) {
    const CounterShape shape = fixed_cells(4, 1, Padding::zeros, SignPlace::none);
    EXPECT_EQ(shown(shape, 124), "00124");
    EXPECT_EQ(shown(shape, 0), "00000");
    EXPECT_EQ(shown(shape, -1), "cannot be shown");
    EXPECT_EQ(shown(shape, 100000), "cannot be shown");
}

TEST(CounterFormat, BlankPaddedCountersLeaveUnusedPlacesEmptyAndSlideTheMinus) {
    const CounterShape shape = fixed_cells(3, 1, Padding::blanks, SignPlace::before_first_digit);
    EXPECT_EQ(shown(shape, 4), "..04");
    EXPECT_EQ(shown(shape, 99), "..99");
    EXPECT_EQ(shown(shape, 100), ".100");
    EXPECT_EQ(shown(shape, 1234), "1234");
    EXPECT_EQ(shown(shape, -4), ".-04");
    EXPECT_EQ(shown(shape, -104), "-104");
    EXPECT_EQ(shown(shape, -1234), "cannot be shown");
}

TEST(CounterFormat, ASignInItsOwnCellStandsInFront) {
    const CounterShape shape = fixed_cells(3, 1, Padding::zeros, SignPlace::own_cell);
    EXPECT_EQ(shown(shape, 12), ".0012");
    EXPECT_EQ(shown(shape, -12), "-0012");
}

TEST(CounterFormat, LeftCountersMoveAtTenAndHundred) {
    const CounterShape wide_point = left_cells(3, 1, true);
    EXPECT_EQ(shown(wide_point, 99), "9.9..");
    EXPECT_EQ(shown(wide_point, 100), "10.0.");
    EXPECT_EQ(shown(wide_point, 1234), "123.4");
    const CounterShape narrow_point = left_cells(3, 1, false);
    EXPECT_EQ(shown(narrow_point, 99), "9..9..");
    EXPECT_EQ(shown(narrow_point, 100), "10..0.");
    EXPECT_EQ(shown(narrow_point, 1234), "123..4");
}

TEST(CounterFormat, AMinusMovesPaddedDigitsOnWhereNoCellIsKeptForIt) {
    const CounterShape shape = pushed_cells(3, 2);
    EXPECT_EQ(shown(shape, 275), "002.75.");
    EXPECT_EQ(shown(shape, -87), "-000.87");
    EXPECT_EQ(shown(shape, 0), "000.00.");
    EXPECT_EQ(shown(shape, 100000), "cannot be shown");
    EXPECT_EQ(shown(pushed_cells(3, 0), 12), "012.");
    EXPECT_EQ(shown(pushed_cells(3, 0), -12), "-012");
}

CellCosts costs_for(const CounterShape& shape, std::int64_t ticks) {
    CellCosts costs{};
    const WrittenLayout* layout = layout_of(shape, ticks);
    for (int cell = 0; cell < shape.cells; ++cell) {
        costs[cell].fill(80);
        costs[cell][class_in_cell(layout->cells[cell], ticks)] = 2;
    }
    return costs;
}

TEST(CounterFormat, TheCheapestValueIsTheOneShownForEveryValueOfEveryShape) {
    const std::vector<CounterShape> shapes = {
        fixed_cells(3, 1, Padding::zeros, SignPlace::none),
        fixed_cells(3, 1, Padding::blanks, SignPlace::before_first_digit),
        fixed_cells(2, 2, Padding::zeros, SignPlace::own_cell),
        left_cells(3, 1, true),
        left_cells(3, 1, false),
        pushed_cells(2, 1)};
    for (const CounterShape& shape : shapes) {
        for (std::int64_t ticks = shape.least(); ticks <= shape.most(); ++ticks) {
            if (layout_of(shape, ticks) == nullptr) continue;
            const CellCosts costs = costs_for(shape, ticks);
            const std::vector<CostedValue> best = cheapest_values(shape, costs, 96, 3);
            ASSERT_EQ(best.front().ticks, ticks);
            ASSERT_EQ(best.front().cost, cost_of_value(shape, costs, ticks, 96));
            ASSERT_LE(best[0].cost, best[1].cost);
        }
    }
}

// Against a look at every value that there is.
TEST(CounterFormat, TheCheapestValuesAreThoseOfAllThatCostLeast) {
    constexpr int kMostPerCell = 144;
    const CounterShape shape = fixed_cells(3, 1, Padding::zeros, SignPlace::none);
    std::mt19937 chance(11);
    for (int round = 0; round < 20; ++round) {
        CellCosts costs{};
        for (auto& cell : costs) {
            for (std::uint8_t& cost : cell) cost = static_cast<std::uint8_t>(chance() % 200);
        }
        std::vector<std::pair<int, std::int64_t>> all;
        for (std::int64_t ticks = 0; ticks < 10000; ++ticks) {
            all.emplace_back(cost_of_value(shape, costs, ticks, kMostPerCell), ticks);
        }
        std::sort(all.begin(), all.end());
        std::vector<std::pair<int, std::int64_t>> found;
        for (const CostedValue& value : cheapest_values(shape, costs, kMostPerCell, 16)) {
            found.emplace_back(value.cost, value.ticks);
        }
        all.resize(16);
        EXPECT_EQ(found, all) << round;
    }
}

TEST(CounterFormat, OneDearCellCountsNoMoreThanTheMost) {
    const CounterShape shape = fixed_cells(3, 1, Padding::zeros, SignPlace::none);
    CellCosts costs = costs_for(shape, 1234);
    EXPECT_EQ(cost_of_value(shape, costs, 1235, 48), 3 * 2 + 48);
    EXPECT_EQ(cost_of_value(shape, costs, -5, 48), 4 * 48);
}

TEST(CounterFormat, KnowsWhichDigitsACarryCannotHaveReached) {
    const CellRole ones{CellRole::Kind::digit, 10};
    EXPECT_FALSE(keeps_its_digit(ones, 740, 10));  // 7.39 was before it
    EXPECT_TRUE(keeps_its_digit(ones, 741, 10));
    EXPECT_TRUE(keeps_its_digit(ones, -748, 10));
    EXPECT_FALSE(keeps_its_digit(ones, 749, 10));
    EXPECT_FALSE(keeps_its_digit(ones, 741, 100));  // it may have gone round
    EXPECT_FALSE(keeps_its_digit({CellRole::Kind::inch_ones, 1}, 745, 1));
}

TEST(CounterFormat, WritesValuesAsTheyStandInThePicture) {
    const CounterShape shape = fixed_cells(4, 1, Padding::zeros, SignPlace::none);
    EXPECT_EQ(written(shape, Padding::zeros, 4, 124), "0012.4");
    EXPECT_EQ(written(shape, Padding::blanks, 4, 124), "12.4");
    EXPECT_EQ(written(shape, Padding::blanks, 4, -4), "-0.4");
    CounterShape inches;
    inches.feet_and_inches = true;
    EXPECT_EQ(written(inches, Padding::left, 2, 150), "12' 6\"");
}

}  // namespace
}  // namespace sondeline
