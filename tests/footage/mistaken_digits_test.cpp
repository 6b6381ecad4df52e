#include "footage/mistaken_digits.hpp"

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <vector>

#include <gtest/gtest.h>

namespace sondeline {
namespace {

const CounterShape kShape = fixed_cells(2, 1, Padding::zeros, SignPlace::none);
constexpr int kLastCell = 2;
constexpr std::uint8_t kAgainst = 120;  // cost of what a clear cell does not show

// What cells that show `ticks` look like, the last of them like `look` without a doubt.
CellCosts cells_that_show(std::int64_t ticks, int look) {
    CellCosts costs{};
    const WrittenLayout* layout = layout_of(kShape, ticks);
    for (int cell = 0; cell < kShape.cells; ++cell) {
        costs[cell].fill(kAgainst);
        costs[cell][class_in_cell(layout->cells[cell], ticks)] = 0;
    }
    costs[kLastCell].fill(kAgainst);
    costs[kLastCell][look] = 0;
    return costs;
}

struct Footage {
    std::vector<std::int64_t> shown;
    std::vector<LineEvidence> seen;
};

// These values, ten a second; every last digit `from` looks like a `to`.
Footage footage_of(const std::vector<std::int64_t>& shown, int from, int to) {
    Footage footage{shown, {}};
    for (const std::int64_t ticks : shown) {
        LineEvidence& sample = footage.seen.emplace_back();
        sample.time_s = 0.1 * static_cast<double>(footage.seen.size());
        const int digit = static_cast<int>(ticks % 10);
        sample.cost = cells_that_show(ticks, digit == from ? to : digit);
    }
    return footage;
}

// At rest for three seconds at `rest`, then pushed on for two feet and a half, two samples a tick.
std::vector<std::int64_t> pushed_from(std::int64_t rest) {
    std::vector<std::int64_t> shown(30, rest);
    for (std::int64_t i = 1; i <= 50; ++i) shown.push_back(rest + (i + 1) / 2);
    return shown;
}

LineReading read(const Footage& footage) {
    LineStructure structure;
    structure.shape = kShape;
    structure.format.unit = CounterUnit::foot;
    structure.format.decimals = 1;
    structure.format.integer_cells = 2;
    return decode_line(structure, footage.seen);
}

CounterPath path_of(const Footage& footage) {
    return decode_path(kShape, footage.seen, reel_motion(0.03048));
}

std::vector<LineEvidence> allowed(const Footage& footage) {
    return with_mistaken_digits_allowed(kShape, path_of(footage), footage.seen);
}

// While the head moves, 7.2 and 7.4 tell that what stands between them is no 7.8; at rest at 6.3
// nothing does.
TEST(MistakenDigits, AreNotToldForOthersWhereTheHeadRests) {
    const Footage footage = footage_of(pushed_from(63), 3, 8);
    const LineReading reading = read(footage);
    int told = 0;
    for (std::size_t i = 0; i < footage.shown.size(); ++i) {
        if (reading.samples[i].unread != Unread::no) continue;
        ++told;
        EXPECT_EQ(reading.samples[i].ticks, footage.shown[i]) << i;
    }
    EXPECT_GE(told, 40) << "of 50 pushed";
}

// Hardly anything but 3 and 8 is shown: with both in doubt little is told.
TEST(MistakenDigits, LeaveACounterWhatItIs) {
    std::vector<std::int64_t> shown;
    for (const std::int64_t ten : {60, 70, 80, 90}) {
        for (std::int64_t digit = 1; digit < 11; ++digit) {
            shown.insert(shown.end(), digit == 3 || digit == 8 ? 25 : 1, ten + digit);
        }
    }
    const LineReading plain = read(footage_of(shown, 3, 3));
    const LineReading mistaken = read(footage_of(shown, 3, 8));
    EXPECT_EQ(plain.kind, LineKind::counter);
    EXPECT_EQ(mistaken.kind, LineKind::counter);
}

TEST(MistakenDigits, AreAllowedForInTheCellTheyStandInAlone) {
    const Footage footage = footage_of(pushed_from(63), 3, 8);
    const std::vector<LineEvidence> after = allowed(footage);
    ASSERT_EQ(after.size(), footage.seen.size());
    const auto& rest = after.front().cost;
    EXPECT_LT(rest[kLastCell][3], cost_scale) << "an 8 may well be a 3";
    EXPECT_EQ(rest[kLastCell][8], 0);
    EXPECT_EQ(rest[kLastCell][5], kAgainst) << "and is no 5";
    EXPECT_EQ(rest[0], footage.seen.front().cost[0]);
    EXPECT_EQ(rest[1], footage.seen.front().cost[1]);
}

TEST(MistakenDigits, AreNoneWhereAllDigitsLookLikeThemselves) {
    EXPECT_TRUE(allowed(footage_of(pushed_from(63), 3, 3)).empty());
}

TEST(MistakenDigits, AreNoneForOneLookThatIsOutOfOrder) {
    Footage footage = footage_of(pushed_from(63), 3, 3);
    footage.seen[50].cost = cells_that_show(73, 8);
    footage.seen[51].cost = cells_that_show(74, 9);
    EXPECT_TRUE(allowed(footage).empty());
}

TEST(MistakenDigits, AreNoneWhereAHeadThatMovesGivesWayByATick) {
    std::vector<std::int64_t> shown;
    for (std::int64_t tick = 63; tick < 113; ++tick) {
        const bool too_far = tick % 10 == 4;
        shown.insert(shown.end(), 3, too_far ? tick + 1 : tick);
        if (too_far) shown.insert(shown.end(), 3, tick);
    }
    EXPECT_TRUE(allowed(footage_of(shown, 3, 3)).empty());
}

TEST(MistakenDigits, AreNoneWhereAHeadAtRestGivesWayByATick) {
    std::vector<std::int64_t> shown;
    for (int spell = 0; spell < 8; ++spell) {
        shown.insert(shown.end(), 10, 63);
        shown.insert(shown.end(), 2, 64);
    }
    shown.insert(shown.end(), 10, 63);
    EXPECT_TRUE(allowed(footage_of(shown, 3, 3)).empty());
}

}  // namespace
}  // namespace sondeline
