#include "footage/first_digit.hpp"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "footage/drawn_line.hpp"
#include "footage/number_shape.hpp"

namespace sondeline {
namespace {

struct Laid {
    DrawnLine drawn;
    Candidate candidate;
};

// "1234.5" as drawn, read as `ticks` in each crop without a doubt.
Laid laid(const std::vector<std::string>& texts, const std::vector<std::int64_t>& ticks, int places,
          int decimals) {
    Laid result{drawn_line(texts), {}};
    Candidate& candidate = result.candidate;
    candidate.grid.band = result.drawn.band;
    candidate.grid.first_px = result.drawn.first_px;
    candidate.grid.gap_px = decimals > 0 ? result.drawn.band.pitch_px : 0.0;
    candidate.grid.places = places;
    candidate.grid.decimals = decimals;
    candidate.structure = structure_of(candidate.grid, result.drawn.line, false);
    for (const std::int64_t value : ticks) {
        PathValue read;
        read.ticks = value;
        read.probability = 0.999F;
        candidate.path.values.push_back(read);
    }
    return result;
}

// A push of `count` ticks from `from`, written with four places; `first` stands for the first
// digit when it is not empty.
Laid pushed(std::int64_t from, int count, const std::string& first = "") {
    std::vector<std::string> texts;
    std::vector<std::int64_t> ticks;
    for (int i = 0; i < count; ++i) {
        ticks.push_back(from + i);
        std::string text = fmt::format("{:04}.{}", ticks.back() / 10, ticks.back() % 10);
        if (!first.empty()) text.replace(0, 1, first);
        texts.push_back(text);
    }
    return laid(texts, ticks, 4, 1);
}

FirstDigit look(const Laid& laid) {
    return look_at_first_digit(laid.candidate, laid.drawn.pointers());
}

TEST(FirstDigit, IsNoQuestionWhenItChanges) {
    EXPECT_EQ(look(pushed(19950, 80)), FirstDigit::moves);
}

TEST(FirstDigit, IsNoQuestionWhenItIsNought) {
    EXPECT_EQ(look(pushed(120, 80)), FirstDigit::moves);
}

TEST(FirstDigit, IsConfirmedByTheSameDigitFurtherBehind) {
    EXPECT_EQ(look(pushed(81000, 100)), FirstDigit::confirmed);
}

TEST(FirstDigit, IsForeignWhenItLooksLikeNoDigitOfTheLine) {
    const Laid letter = pushed(81000, 100, "X");
    EXPECT_EQ(look(letter), FirstDigit::foreign);
    Candidate doubted = letter.candidate;
    doubted.faults.first_digit = FirstDigit::foreign;
    EXPECT_FALSE(doubt_of_first_digit(doubted).empty());
}

TEST(FirstDigit, IsUnknownWhenTheSameDigitNeverStandsElsewhere) {
    EXPECT_EQ(look(pushed(71000, 7)), FirstDigit::unknown);
}

// 49.8 … 410.4: what is in front stays as the number behind it grows.
TEST(FirstDigit, IsForeignWhenNumbersOfSeveralLengthsBeginWithIt) {
    std::vector<std::string> texts;
    std::vector<std::int64_t> ticks;
    for (int i = 0; i < 40; ++i) {
        const int tenths = 80 + i;
        texts.push_back(fmt::format("4{}.{}", tenths / 10, tenths % 10));
        ticks.push_back(tenths < 100 ? 400 + tenths : 4000 + tenths);
    }
    Laid grown = laid(texts, ticks, 3, 1);
    grown.candidate.grid.padding = Padding::left;
    grown.candidate.structure = structure_of(grown.candidate.grid, grown.drawn.line, false);
    EXPECT_EQ(look(grown), FirstDigit::foreign);
}

TEST(SameBefore, TellsASignThatStaysFromOneThatMakesRoom) {
    std::vector<std::string> texts(6, "+8.1");
    texts.insert(texts.end(), 6, "+10.4");
    texts.insert(texts.end(), 6, "110.4");
    Laid line = laid(texts, {}, 1, 1);
    line.candidate.grid.first_px += line.drawn.band.pitch_px;
    const std::vector<const LineCrop*> crops = line.drawn.pointers();
    const std::span<const LineCrop* const> all(crops);
    EXPECT_TRUE(same_before(line.candidate, all.first(6), all.subspan(6, 6)));
    EXPECT_FALSE(same_before(line.candidate, all.first(6), all.last(6)));
}

TEST(FirstDigit, LeavesNoDoubtWhenConfirmed) {
    Laid right = pushed(81000, 100);
    right.candidate.faults.first_digit = look(right);
    EXPECT_TRUE(doubt_of_first_digit(right.candidate).empty());
}

}  // namespace
}  // namespace sondeline
