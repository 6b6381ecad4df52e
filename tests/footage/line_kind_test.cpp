#include "footage/line_kind.hpp"

#include <cmath>
#include <vector>

#include <gtest/gtest.h>

namespace sondeline {
namespace {

// A number in tenths beside a picture, ten times a second.
struct Seen {
    std::vector<LineSample> samples;
    std::vector<LineEvidence> evidence;

    void add(std::int64_t ticks, bool picture_rests) {
        LineEvidence at;
        at.time_s = 0.1 * static_cast<double>(samples.size());
        at.picture_motion = picture_rests ? 0.5F : 6.0F;
        evidence.push_back(at);
        LineSample sample;
        sample.ticks = ticks;
        sample.probability = 0.999F;
        samples.push_back(sample);
    }
};

// Moves on by a tick every two tenths of a second; number and picture rest for four of every eight
// seconds.
Seen pushed_by(int most_ticks) {
    Seen seen;
    int ticks = 0;
    for (int i = 0; i < 400; ++i) {
        const bool rests = i % 80 < 40;
        if (!rests && i % 2 == 0 && ticks < most_ticks) ++ticks;
        seen.add(210 + ticks, rests);
    }
    return seen;
}

// Swings about 21.0 by 2.0 beside a picture that never rests.
Seen wandering() {
    Seen seen;
    for (int i = 0; i < 250; ++i) seen.add(210 + std::lround(20.0 * std::sin(0.04 * i)), false);
    return seen;
}

// A temperature: a tick every five seconds, whether the picture rests or not.
Seen warming() {
    Seen seen;
    for (int i = 0; i < 400; ++i) seen.add(192 + i / 50, i % 80 < 25);
    return seen;
}

KindVerdict verdict(const Seen& seen, CounterUnit unit) {
    CounterFormat format;
    format.decimals = 1;
    format.unit = unit;
    return kind_of(seen.samples, seen.evidence, format, 0.03048);
}

TEST(LineKind, OfAShortRunWithoutAUnitIsACounterWhereItRestsWithThePicture) {
    const KindVerdict found = verdict(pushed_by(50), CounterUnit::unknown);
    EXPECT_EQ(found.kind, LineKind::counter);
    EXPECT_GT(found.counter_probability, 0.5);
}

TEST(LineKind, OfAFigureThatWandersALittleWithoutAUnitIsNoCounter) {
    const KindVerdict found = verdict(wandering(), CounterUnit::unknown);
    EXPECT_NE(found.kind, LineKind::counter);
    EXPECT_LT(found.counter_probability, 0.5);
}

TEST(LineKind, OfANumberThatHardlyChangesIsNotSaidToRestWithTheHead) {
    EXPECT_LT(verdict(warming(), CounterUnit::unknown).counter_probability, 0.3);
}

// 11.4 … 11.9, 21.0: the carry to 12.0 was misread, and no ground was covered.
TEST(LineKind, OfAFigureThatJumpsAtAMisreadCarryIsNoCounter) {
    Seen seen;
    for (int i = 0; i < 400; ++i) {
        const int ticks = 114 + i / 40;
        seen.add(ticks < 120 ? ticks : ticks + 90, i % 80 < 25);
    }
    EXPECT_LT(verdict(seen, CounterUnit::unknown).counter_probability, 0.1);
}

TEST(LineKind, OfADozenStepsWithoutAUnitIsNoCounterEvenWhereItRestsWithThePicture) {
    EXPECT_LT(verdict(pushed_by(12), CounterUnit::unknown).counter_probability, 0.5);
    EXPECT_GE(verdict(pushed_by(12), CounterUnit::foot).counter_probability, 0.5);
}

TEST(LineKind, OfAShortRunIsACounterWhereItsUnitIsShown) {
    EXPECT_EQ(verdict(pushed_by(50), CounterUnit::foot).kind, LineKind::counter);
}

// Rises a tick at a time as a reel does, by spells of its own that the picture knows nothing of.
Seen charging() {
    Seen seen;
    int ticks = 0;
    for (int i = 0; i < 300; ++i) {
        if (i % 110 > 55 && i % 6 == 0) ++ticks;
        seen.add(200 + ticks, i % 70 < 25);
    }
    return seen;
}

TEST(LineKind, OfAFigureThatRisesWithoutCaringAboutThePictureIsNoCounter) {
    EXPECT_NE(verdict(charging(), CounterUnit::unknown).kind, LineKind::counter);
}

TEST(LineKind, OfSuchAFigureBesideALetterThatLooksLikeAUnitIsNoCounterEither) {
    EXPECT_NE(verdict(charging(), CounterUnit::metre).kind, LineKind::counter);
}

// Rises by more than a dozen metres of tenths of a foot, by spells that the picture does not show.
KindVerdict verdict_on_unseen_push(int integer_cells, bool zero_padded) {
    Seen seen;
    int ticks = 0;
    for (int i = 0; i < 400; ++i) {
        if (i % 110 > 55 && i % 3 != 0) ++ticks;
        seen.add(540 + ticks, i % 70 < 25);
    }
    CounterFormat format;
    format.decimals = 1;
    format.integer_cells = integer_cells;
    format.zero_padded = zero_padded;
    return kind_of(seen.samples, seen.evidence, format, 0.03048);
}

// 0054.7: sensors write no places that they never use. Common practice, no source.
TEST(LineKind, OfANumberWithPlacesToSpareIsACounterThoughThePictureDoesNotShowIt) {
    EXPECT_NE(verdict_on_unseen_push(2, true).kind, LineKind::counter);   // 54.7
    EXPECT_NE(verdict_on_unseen_push(4, false).kind, LineKind::counter);  //   54.7
    EXPECT_EQ(verdict_on_unseen_push(4, true).kind, LineKind::counter);
}

TEST(LineKind, OfANumberThatNeverChangesIsStillText) {
    EXPECT_EQ(verdict(pushed_by(0), CounterUnit::foot).kind, LineKind::still_text);
}

}  // namespace
}  // namespace sondeline
