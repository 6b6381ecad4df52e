#include "footage/counter_path.hpp"

#include <cmath>
#include <random>

#include <gtest/gtest.h>

#include "footage/line_reader.hpp"

namespace sondeline {
namespace {

// Evidence as a classifier of the given accuracy would give it for a counter that shows `ticks`.
class InventedEvidence {
  public:
    InventedEvidence(const CounterShape& shape, double right_share, unsigned seed)
        : shape_(shape), right_share_(right_share), random_(seed) {}

    LineEvidence show(double time_s, std::int64_t ticks) {
        LineEvidence evidence;
        evidence.time_s = time_s;
        const WrittenLayout* layout = layout_of(shape_, ticks);
        for (int cell = 0; cell < shape_.cells; ++cell) {
            const bool right = uniform() < right_share_;
            const int shown = class_in_cell(layout->cells[cell], ticks);
            fill(evidence.cost[cell], right ? shown : static_cast<int>(10 * uniform()));
        }
        return evidence;
    }

    LineEvidence hide(double time_s) {
        LineEvidence evidence;
        evidence.time_s = time_s;
        for (int cell = 0; cell < shape_.cells; ++cell) fill(evidence.cost[cell], other_class);
        return evidence;
    }

  private:
    double uniform() { return std::uniform_real_distribution<double>(0.0, 1.0)(random_); }
    void fill(std::array<std::uint8_t, cell_class_count>& costs, int shown) {
        const double likely = 0.6 + 0.39 * uniform();
        for (int c = 0; c < cell_class_count; ++c) {
            const double p = c == shown ? likely : (1.0 - likely) / (cell_class_count - 1);
            costs[c] = static_cast<std::uint8_t>(std::min(255.0, -std::log(p) * cost_scale));
        }
    }

    const CounterShape& shape_;
    double right_share_;
    std::mt19937 random_;
};

// Pushes at 0.8 m/s, rests, is drawn back, goes on: tenths of a foot at ten samples a second.
std::vector<std::int64_t> walked(std::int64_t start) {
    std::vector<std::int64_t> ticks;
    double at = static_cast<double>(start);
    for (int t = 0; t < 600; ++t) {
        const int phase = t % 200;
        at += phase < 80 ? 2.6 : phase < 140 ? 0.0 : phase < 160 ? -1.5 : 1.0;
        ticks.push_back(static_cast<std::int64_t>(at));
    }
    return ticks;
}

struct Tally {
    int right = 0;
    int sure = 0;
    int wrong_and_sure = 0;
};

Tally tally(const CounterPath& path, const std::vector<std::int64_t>& truth) {
    Tally tally;
    for (std::size_t t = 0; t < truth.size(); ++t) {
        const bool right = path.values[t].ticks == truth[t];
        const bool sure = path.values[t].probability >= 0.98F;
        tally.right += right;
        tally.sure += sure;
        tally.wrong_and_sure += sure && !right;
    }
    return tally;
}

const ReelMotion kTenthsOfFeet = reel_motion(0.03048);

TEST(CounterPath, ReadsThroughCellsThatAreWrongOneTimeInTen) {
    const CounterShape shape = fixed_cells(4, 1, Padding::zeros, SignPlace::none);
    InventedEvidence invented(shape, 0.9, 1);
    const std::vector<std::int64_t> truth = walked(12);
    std::vector<LineEvidence> evidence;
    for (std::size_t t = 0; t < truth.size(); ++t) {
        evidence.push_back(invented.show(0.1 * static_cast<double>(t), truth[t]));
    }
    const Tally result = tally(decode_path(shape, evidence, kTenthsOfFeet), truth);
    // While the head moves, the last digit is shown once only: a tenth of those stay in doubt.
    EXPECT_GE(result.right, 540);
    EXPECT_GE(result.sure, 220);
    EXPECT_LE(result.wrong_and_sure, 2);
}

TEST(CounterPath, CarriesOverNineToTenWhenTheFirstCharacterKeepsItsPlace) {
    const CounterShape shape = left_cells(3, 1, false);
    InventedEvidence invented(shape, 0.97, 2);
    const std::vector<std::int64_t> truth = walked(60);
    std::vector<LineEvidence> evidence;
    for (std::size_t t = 0; t < truth.size(); ++t) {
        evidence.push_back(invented.show(0.1 * static_cast<double>(t), truth[t]));
    }
    const Tally result = tally(decode_path(shape, evidence, kTenthsOfFeet), truth);
    EXPECT_GE(result.right, 580);
    EXPECT_LE(result.wrong_and_sure, 1);
}

TEST(CounterPath, KeepsAZeroingInTheMiddleOfARun) {
    const CounterShape shape = fixed_cells(4, 1, Padding::zeros, SignPlace::none);
    InventedEvidence invented(shape, 0.95, 3);
    std::vector<LineEvidence> evidence;
    std::vector<std::int64_t> truth;
    for (int t = 0; t < 200; ++t) {
        truth.push_back(t < 100 ? 347 : std::max(0, t - 130));
        evidence.push_back(invented.show(0.1 * t, truth.back()));
    }
    const CounterPath path = decode_path(shape, evidence, kTenthsOfFeet);
    EXPECT_EQ(path.values[97].ticks, 347);
    EXPECT_EQ(path.values[103].ticks, 0);
    EXPECT_GT(path.values[103].probability, 0.98F);
    EXPECT_LE(tally(path, truth).wrong_and_sure, 1);
}

// Every 9 looks a little more like a 7, the same way in every sample: where the last digit goes
// round and carries, only a 9 leads from 8 to 10.
TEST(CounterPath, ReadsADigitThatIsAlwaysMisreadByTheCarriesAboutIt) {
    const CounterShape shape = fixed_cells(3, 1, Padding::zeros, SignPlace::none);
    InventedEvidence camera(shape, 1.0, 11);
    std::vector<LineEvidence> evidence;
    std::vector<std::int64_t> shown;
    for (std::int64_t ticks = 80; ticks < 110; ++ticks) {
        for (int sample = 0; sample < 2; ++sample) {
            const double time_s = 0.1 * static_cast<double>(evidence.size());
            evidence.push_back(camera.show(time_s, ticks));
            shown.push_back(ticks);
            if (ticks / 10 % 10 != 9) continue;
            auto& costs = evidence.back().cost[2];
            costs.fill(static_cast<std::uint8_t>(6.0 * cost_scale));
            costs[7] = static_cast<std::uint8_t>(0.2 * cost_scale);
            costs[9] = static_cast<std::uint8_t>(3.2 * cost_scale);
        }
    }
    PathOptions by_carries;
    by_carries.kept_digits_count_once = true;
    const auto wrong = [&](const PathOptions& options) {
        const CounterPath path = decode_path(shape, evidence, reel_motion(0.03048), options);
        int count = 0;
        for (std::size_t i = 0; i < shown.size(); ++i) {
            const PathValue& value = path.values[i];
            count += value.probability >= 0.98F && value.ticks != shown[i];
        }
        return count;
    };
    EXPECT_EQ(wrong(by_carries), 0);
    EXPECT_GT(wrong({}), 0);
}

// Millimetres go by in dozens: each sample shows other digits, and must be told by all of them.
TEST(CounterPath, IsAsSureOfMillimetresWhereKeptDigitsCountOnce) {
    const CounterShape shape = fixed_cells(1, 3, Padding::zeros, SignPlace::none);
    InventedEvidence camera(shape, 1.0, 7);
    std::vector<LineEvidence> evidence;
    for (int i = 0; i < 100; ++i) {
        evidence.push_back(camera.show(0.1 * i, 2000 + 37 * i + i * i % 11));
    }
    const auto sure = [&](bool once) {
        PathOptions options;
        options.kept_digits_count_once = once;
        const CounterPath path = decode_path(shape, evidence, reel_motion(0.001), options);
        return std::ranges::count_if(
            path.values, [](const PathValue& value) { return value.probability >= 0.98F; });
    };
    EXPECT_GE(sure(true), sure(false) - 5);
}

TEST(CounterPath, IsNotSureWhileTheTextIsHiddenAndTheHeadMovesOn) {
    const CounterShape shape = fixed_cells(4, 1, Padding::zeros, SignPlace::none);
    InventedEvidence invented(shape, 0.98, 4);
    std::vector<LineEvidence> evidence;
    for (int t = 0; t < 200; ++t) {
        const bool hidden = t >= 80 && t < 140;
        evidence.push_back(hidden ? invented.hide(0.1 * t) : invented.show(0.1 * t, 100 + t));
    }
    const CounterPath path = decode_path(shape, evidence, kTenthsOfFeet);
    EXPECT_EQ(path.values[70].ticks, 170);
    EXPECT_EQ(path.values[150].ticks, 250);
    for (int t = 90; t < 130; ++t) EXPECT_LT(path.values[t].probability, 0.9F) << t;
}

TEST(CounterPath, ScoresTheRightShapeAboveOneWithAPlaceTooMany) {
    const CounterShape right = fixed_cells(3, 1, Padding::blanks, SignPlace::none);
    InventedEvidence invented(right, 0.95, 5);
    std::vector<LineEvidence> evidence;
    const std::vector<std::int64_t> truth = walked(5);
    for (std::size_t t = 0; t < truth.size(); ++t) {
        evidence.push_back(invented.show(0.1 * static_cast<double>(t), truth[t]));
    }
    CounterShape padded = fixed_cells(3, 1, Padding::zeros, SignPlace::none);
    EXPECT_GT(decode_path(right, evidence, kTenthsOfFeet).score,
              decode_path(padded, evidence, kTenthsOfFeet).score);
}

TEST(CounterPath, ScoresALayoutNoHigherForCellsThatMayShowAnything) {
    const CounterShape narrow = fixed_cells(3, 1, Padding::zeros, SignPlace::none);
    CounterShape wide = narrow;
    wide.cells += 2;
    for (WrittenLayout& layout : wide.layouts) {
        for (int cell = narrow.cells; cell < wide.cells; ++cell) {
            layout.cells[cell].kind = CellRole::Kind::any;
        }
    }
    // Five cells show digits as clearly; the number is that of the first three.
    const CounterShape shown = fixed_cells(5, 1, Padding::zeros, SignPlace::none);
    InventedEvidence invented(shown, 0.95, 7);
    std::vector<LineEvidence> evidence;
    const std::vector<std::int64_t> truth = walked(5);
    for (std::size_t t = 0; t < truth.size(); ++t) {
        evidence.push_back(invented.show(0.1 * static_cast<double>(t),
                                         truth[t] * 100 + static_cast<std::int64_t>(t * 7 % 100)));
    }
    EXPECT_LE(decode_path(wide, evidence, kTenthsOfFeet).score,
              decode_path(narrow, evidence, kTenthsOfFeet).score + 0.05);
}

TEST(CounterPath, ScoresALayoutNoHigherForABareEndAndLowerForADigitThere) {
    const CounterShape narrow = fixed_cells(3, 1, Padding::zeros, SignPlace::none);
    CounterShape bare = narrow;
    bare.cells += 2;
    CounterShape drawn = bare;  // nothing stands in the two cells
    for (WrittenLayout& layout : bare.layouts) {
        layout.cells[narrow.cells].kind = CellRole::Kind::no_digit;
        layout.cells[narrow.cells + 1].kind = CellRole::Kind::no_digit;
    }
    const CounterShape longer = fixed_cells(5, 1, Padding::zeros, SignPlace::none);
    InventedEvidence blank(drawn, 0.95, 7);
    InventedEvidence digits(longer, 0.95, 7);
    std::vector<LineEvidence> bare_end;
    std::vector<LineEvidence> digits_behind;
    const std::vector<std::int64_t> truth = walked(5);
    for (std::size_t t = 0; t < truth.size(); ++t) {
        const double time_s = 0.1 * static_cast<double>(t);
        bare_end.push_back(blank.show(time_s, truth[t]));
        digits_behind.push_back(
            digits.show(time_s, truth[t] * 100 + static_cast<std::int64_t>(t * 7 % 100)));
    }
    EXPECT_LE(decode_path(bare, bare_end, kTenthsOfFeet).score,
              decode_path(narrow, bare_end, kTenthsOfFeet).score + 0.05);
    EXPECT_LT(decode_path(bare, digits_behind, kTenthsOfFeet).score,
              decode_path(narrow, digits_behind, kTenthsOfFeet).score - 1.0);
}

TEST(CounterPath, GivesTheSameBytesTwice) {
    const CounterShape shape = fixed_cells(4, 1, Padding::zeros, SignPlace::none);
    InventedEvidence invented(shape, 0.8, 6);
    std::vector<LineEvidence> evidence;
    for (int t = 0; t < 700; ++t) evidence.push_back(invented.show(0.1 * t, 100 + t / 3));
    const CounterPath one = decode_path(shape, evidence, kTenthsOfFeet);
    const CounterPath two = decode_path(shape, evidence, kTenthsOfFeet);
    for (std::size_t t = 0; t < evidence.size(); ++t) {
        ASSERT_EQ(one.values[t].ticks, two.values[t].ticks);
        ASSERT_EQ(one.values[t].probability, two.values[t].probability);
    }
    EXPECT_EQ(one.score, two.score);
}

TEST(CounterPath, IsEmptyWithoutEvidence) {
    const CounterShape shape = fixed_cells(4, 1, Padding::zeros, SignPlace::none);
    EXPECT_TRUE(decode_path(shape, {}, kTenthsOfFeet).values.empty());
    LineEvidence nothing;
    EXPECT_TRUE(decode_path({}, {&nothing, 1}, kTenthsOfFeet).values.empty());
}

}  // namespace
}  // namespace sondeline
