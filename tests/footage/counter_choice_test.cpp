#include "footage/counter_choice.hpp"

#include <utility>

#include <gmock/gmock.h>

namespace sondeline {
namespace {

using testing::HasSubstr;

LineReading reading_of(int integer_cells, int decimals, double counter_probability) {
    LineReading reading;
    reading.kind = counter_probability >= 0.5 ? LineKind::counter : LineKind::unreadable;
    reading.counter_probability = counter_probability;
    reading.format.integer_cells = integer_cells;
    reading.format.decimals = decimals;
    reading.format.digits_sure = 0.99;
    reading.format.box = {30, 20, 60, 24};
    reading.format.pattern = std::to_string(integer_cells) + "+" + std::to_string(decimals);
    return reading;
}

WatchedLine line_of(std::vector<LineReading> readings) {
    WatchedLine line;
    line.readings = std::move(readings);
    return line;
}

TEST(CounterChoice, TakesTheLineThatCountsMostLikeAReel) {
    const std::vector lines{line_of({reading_of(2, 1, 0.7)}), line_of({reading_of(3, 1, 0.9)})};
    const CounterChoice choice = likeliest_counter(lines);
    EXPECT_EQ(choice.line, &lines[1]);
    EXPECT_EQ(choice.probability, 0.9);
    EXPECT_EQ(choice.doubt, "");
}

TEST(CounterChoice, LeavesThePointWhereItWasSeenThoughTheStepsOfAnotherPlaceWouldSuitAReelMore) {
    const std::vector lines{line_of({reading_of(3, 2, 0.2), reading_of(4, 1, 0.9)})};
    const CounterChoice choice = likeliest_counter(lines);
    ASSERT_NE(choice.reading, nullptr);
    EXPECT_EQ(choice.reading->format.decimals, 2);
    EXPECT_EQ(choice.probability, 0.9);
}

TEST(CounterChoice, SaysWhenABetterLayoutOfTheLineReadsAsMuchAndIsNoCounter) {
    const std::vector lines{line_of({reading_of(4, 2, 0.1), reading_of(3, 1, 0.9)})};
    const CounterChoice choice = likeliest_counter(lines);
    ASSERT_NE(choice.reading, nullptr);
    EXPECT_EQ(choice.reading->format.decimals, 1);
    EXPECT_THAT(choice.doubt, HasSubstr("4+2"));
}

// The same number, told in the first `told` of a hundred samples; the last ones off by `off`.
LineReading telling(int told, int off = 0) {
    LineReading reading = reading_of(2, 1, 0.9);
    reading.format.digits_sure = told / 100.0;
    reading.samples.resize(100);
    for (int i = 0; i < 100; ++i) {
        LineSample& sample = reading.samples[static_cast<std::size_t>(i)];
        if (i >= told) sample.unread = Unread::unsure;
        sample.ticks = 20 + i + (i >= 70 ? off : 0);
    }
    return reading;
}

TEST(CounterChoice, TakesALaterLayoutThatTellsMoreOfTheSameNumber) {
    const std::vector lines{line_of({telling(88), telling(99)})};
    EXPECT_EQ(likeliest_counter(lines).reading, &lines[0].readings[1]);
}

TEST(CounterChoice, StaysWithTheFirstLayoutWhereALaterOneTellsMoreButNotTheSame) {
    const std::vector lines{line_of({telling(88), telling(99, 100)})};
    EXPECT_EQ(likeliest_counter(lines).reading, &lines[0].readings[0]);
}

TEST(CounterChoice, StaysWithTheFirstLayoutWhereALaterOneTellsHardlyMore) {
    const std::vector lines{line_of({telling(97), telling(99)})};
    EXPECT_EQ(likeliest_counter(lines).reading, &lines[0].readings[0]);
}

// A number that drifts from `from` on by `tenths` in all.
LineReading drifting(int from, int tenths, double counter_probability) {
    LineReading reading = reading_of(2, 1, counter_probability);
    reading.samples.resize(100);
    for (int i = 0; i < 100; ++i) {
        reading.samples[static_cast<std::size_t>(i)].ticks = from + i * tenths / 99;
    }
    return reading;
}

// A temperature that rises a little while the head is pushed, and a counter.
TEST(CounterChoice, TakesOfTwoThatCountNearlyAlikeTheOneThatGoesFarther) {
    const std::vector lines{line_of({drifting(200, 27, 0.84)}),
                            line_of({drifting(2100, 330, 0.82)})};
    for (const bool turned : {false, true}) {
        std::vector<WatchedLine> order = lines;
        if (turned) std::swap(order[0], order[1]);
        const CounterChoice choice = likeliest_counter(order);
        ASSERT_NE(choice.reading, nullptr);
        EXPECT_EQ(choice.reading->samples.front().ticks, 2100);
        EXPECT_THAT(choice.doubt, HasSubstr("counts as much like a reel"));
    }
}

TEST(CounterChoice, NamesTheOtherNumberThatCountsNearlyAlikeAndGoesAsFar) {
    const std::vector lines{line_of({drifting(0, 150, 0.80)}), line_of({drifting(700, 120, 0.84)})};
    const CounterChoice choice = likeliest_counter(lines);
    EXPECT_EQ(choice.line, &lines[1]);
    EXPECT_THAT(choice.doubt, HasSubstr("which reads 2+1, counts as much like a reel"));
}

TEST(CounterChoice, IsInNoDoubtForANumberThatCountsFarLessLikeAReel) {
    const std::vector lines{line_of({drifting(0, 90, 0.97)}), line_of({drifting(0, 900, 0.6)})};
    const CounterChoice choice = likeliest_counter(lines);
    EXPECT_EQ(choice.line, &lines[0]);
    EXPECT_EQ(choice.doubt, "");
}

TEST(CounterChoice, IsInNoDoubtWhereTheSameCounterIsShownTwice) {
    const std::vector lines{line_of({drifting(0, 150, 0.80)}), line_of({drifting(0, 150, 0.84)})};
    EXPECT_EQ(likeliest_counter(lines).doubt, "");
}

TEST(CounterChoice, IsNoneWhereNoLineCounts) {
    const std::vector lines{line_of({reading_of(2, 1, 0.4)}), line_of({reading_of(2, 1, 0.1)})};
    EXPECT_EQ(likeliest_counter(lines).reading, nullptr);
}

TEST(NearCounter, IsTheNumberThatCameNearestAndNoneThatIsFar) {
    const std::vector lines{line_of({reading_of(2, 1, 0.35)}), line_of({reading_of(2, 1, 0.45)}),
                            line_of({reading_of(2, 1, 0.1)})};
    EXPECT_EQ(near_counter(lines).line, &lines[1]);
    EXPECT_EQ(near_counter(std::span(lines).last(1)).line, nullptr);
}

}  // namespace
}  // namespace sondeline
