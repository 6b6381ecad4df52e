#include "footage/path_trust.hpp"

#include <algorithm>
#include <vector>

#include <gtest/gtest.h>

namespace sondeline {
namespace {

const CounterShape kShape = fixed_cells(3, 2, Padding::zeros, SignPlace::none);
const ReelMotion kCentimetres = reel_motion(0.01);
const ReelMotion kTenthsOfAFoot = reel_motion(0.03048);

struct ToldPath {
    CounterPath path;
    std::vector<LineEvidence> evidence;
};

// A path that is sure of these values, ten a second.
ToldPath sure_path(const std::vector<std::int64_t>& ticks) {
    ToldPath sure;
    for (std::size_t i = 0; i < ticks.size(); ++i) {
        PathValue value;
        value.ticks = ticks[i];
        value.probability = 0.999F;
        value.cost = value.least_cost = value.digit_cost = 0.1F;
        sure.path.values.push_back(value);
        LineEvidence seen;
        seen.time_s = 0.1 * static_cast<double>(i);
        sure.evidence.push_back(seen);
    }
    return sure;
}

TrustedPath told(const std::vector<std::int64_t>& ticks, const ReelMotion& motion = kCentimetres,
                 const CounterShape& shape = kShape) {
    const ToldPath sure = sure_path(ticks);
    return trusted(sure.path, shape, sure.evidence, motion, 0.98);
}

long withheld(const TrustedPath& path) {
    return std::count_if(path.samples.begin(), path.samples.end(),
                         [](const LineSample& s) { return s.unread != Unread::no; });
}

std::vector<std::int64_t> joined(std::vector<std::int64_t> a, const std::vector<std::int64_t>& b) {
    a.insert(a.end(), b.begin(), b.end());
    return a;
}

TEST(TrustedPath, KeepsAZeroingFromRestIntoAPush) {
    const std::vector<std::int64_t> rest(20, 252);
    const TrustedPath path = told(joined(rest, {1, 4, 6, 9, 11, 14, 17, 19, 22, 24, 27, 30}));
    EXPECT_EQ(withheld(path), 0);
    ASSERT_EQ(path.jumps.size(), 1U);
    EXPECT_TRUE(path.jumps[0].clean);
}

// Pushed to 3.54, at rest for a second with the probability given, and set to zero into a push.
TrustedPath zeroed_after_a_rest(std::int64_t rest_ticks, float probability) {
    std::vector<std::int64_t> ticks;
    for (int i = 0; i < 28; ++i) ticks.push_back(300 + 2 * i);
    const auto rest_from = ticks.size();
    ticks.insert(ticks.end(), 10, rest_ticks);
    const auto rest_to = ticks.size();
    for (int i = 0; i < 30; ++i) ticks.push_back(3 + 3 * i);
    ToldPath faint = sure_path(ticks);
    for (auto i = rest_from; i < rest_to; ++i) faint.path.values[i].probability = probability;
    return trusted(faint.path, kShape, faint.evidence, kCentimetres, 0.98);
}

TEST(TrustedPath, KeepsAZeroingFromARestThatIsTooFaintToBeTold) {
    const TrustedPath path = zeroed_after_a_rest(355, 0.95F);
    EXPECT_EQ(withheld(path), 10) << "the rest, and nothing about the zeroing";
    ASSERT_EQ(path.jumps.size(), 1U);
    EXPECT_TRUE(path.jumps[0].clean);
    EXPECT_TRUE(path.samples[path.jumps[0].after].was_set);
}

TEST(TrustedPath, WithholdsAZeroingFromARestThatIsGuessedOrOutOfReach) {
    for (const TrustedPath& path :
         {zeroed_after_a_rest(355, 0.6F), zeroed_after_a_rest(955, 0.95F)}) {
        EXPECT_GT(withheld(path), 30);
        ASSERT_EQ(path.jumps.size(), 1U);
        EXPECT_FALSE(path.jumps[0].clean);
    }
}

TEST(TrustedPath, WithholdsADropToNoughtWhileTheHeadMovesOn) {
    std::vector<std::int64_t> push;
    for (int i = 0; i < 30; ++i) push.push_back(900 + 3 * i);
    std::vector<std::int64_t> on;  // the carry to 1000 was not seen
    for (int i = 0; i < 30; ++i) on.push_back(1 + 3 * i);
    const TrustedPath path = told(joined(push, on));
    ASSERT_EQ(path.jumps.size(), 1U);
    EXPECT_FALSE(path.jumps[0].clean);
    EXPECT_GE(withheld(path), 20);
}

// 57.7, 57.8, 57.9, 57.0 … 57.5 and back: the 8 was taken for a 7 as long as it stood.
TEST(TrustedPath, WithholdsADigitThatIsMisreadFromOneCarryToTheNext) {
    std::vector<std::int64_t> ticks;
    for (std::int64_t t = 550; t < 580; ++t) ticks.insert(ticks.end(), 2, t);
    for (std::int64_t t = 570; t < 575; ++t) ticks.insert(ticks.end(), 2, t);
    ticks.insert(ticks.end(), 12, 575);
    for (std::int64_t t = 574; t >= 570; --t) ticks.insert(ticks.end(), 2, t);
    const std::size_t back = ticks.size();
    for (std::int64_t t = 579; t > 550; --t) ticks.insert(ticks.end(), 2, t);
    const TrustedPath path = told(ticks, kTenthsOfAFoot);
    for (std::size_t i = 60; i < back; ++i) {
        EXPECT_NE(path.samples[i].unread, Unread::no) << i;
    }
    EXPECT_EQ(withheld(path), static_cast<long>(back) - 60);
}

// A tug of a foot and back is no misread digit: the last digit does not go on as it did.
TEST(TrustedPath, KeepsAPullBackAndAPush) {
    std::vector<std::int64_t> ticks;
    for (std::int64_t t = 570; t < 600; ++t) ticks.push_back(t);
    for (std::int64_t t = 600; t > 560; t -= 4) ticks.push_back(t);
    for (std::int64_t t = 560; t < 600; t += 4) ticks.push_back(t);
    EXPECT_EQ(withheld(told(ticks, kTenthsOfAFoot)), 0);
}

TEST(TrustedPath, WithholdsALastDigitThatIsMisreadWhileTheHeadRests) {
    std::vector<std::int64_t> ticks = {57, 58, 59, 60};
    ticks.insert(ticks.end(), 15, 68);  // 6.1 taken for 6.8
    for (std::int64_t t = 62; t < 80; ++t) ticks.push_back(t);
    EXPECT_EQ(withheld(told(ticks, kTenthsOfAFoot)), 15);
}

// 8.9 was left, and the counter set to nought, while the head rested.
TEST(TrustedPath, KeepsAPushAfterAZeroingWhoseLastDigitGoesOn) {
    std::vector<std::int64_t> ticks;
    for (std::int64_t t = 60; t < 89; ++t) ticks.insert(ticks.end(), 2, t);
    ticks.insert(ticks.end(), 8, 89);
    for (std::int64_t t = 1; t < 60; ++t) ticks.insert(ticks.end(), 2, t);
    EXPECT_EQ(withheld(told(ticks, kTenthsOfAFoot)), 0);
}

// A recorder that was stopped while the head went on.
TEST(TrustedPath, KeepsWhatFollowsAJumpAheadByTens) {
    std::vector<std::int64_t> ticks;
    for (std::int64_t t = 550; t < 580; ++t) ticks.insert(ticks.end(), 2, t);
    for (std::int64_t t = 590; t < 640; ++t) ticks.insert(ticks.end(), 2, t);
    EXPECT_EQ(withheld(told(ticks, kTenthsOfAFoot)), 0);
}

// Nothing follows that would tell.
TEST(TrustedPath, WithholdsADigitThatIsMisreadFromACarryToTheEnd) {
    std::vector<std::int64_t> ticks;
    for (std::int64_t t = 550; t < 580; ++t) ticks.insert(ticks.end(), 2, t);
    for (std::int64_t t = 570; t < 578; ++t) ticks.insert(ticks.end(), 2, t);
    EXPECT_EQ(withheld(told(ticks, kTenthsOfAFoot)), 16);
}

TEST(TrustedPath, TellsAJumpThatStaysFromOneThatComesBack) {
    std::vector<std::int64_t> push;
    for (int i = 0; i < 40; ++i) push.push_back(900 + 3 * i);
    std::vector<std::int64_t> away = push;
    for (std::size_t i = 15; i < 25; ++i) away[i] += 4005;
    const TrustedPath returns = told(away);
    ASSERT_EQ(returns.jumps.size(), 2U);
    EXPECT_TRUE(returns.jumps[0].comes_back);
    EXPECT_TRUE(returns.jumps[1].comes_back);
    for (std::size_t i = 25; i < away.size(); ++i) away[i] += 4005;
    const TrustedPath stays = told(away);
    ASSERT_EQ(stays.jumps.size(), 1U);
    EXPECT_FALSE(stays.jumps[0].comes_back);
}

TEST(TrustedPath, WithholdsAnExcursionToAnotherValueAndBack) {
    std::vector<std::int64_t> values(20, 300);
    values.insert(values.end(), 20, 8300);
    values.insert(values.end(), 20, 300);
    EXPECT_GE(withheld(told(values)), 20);
}

// A minus that moves padded digits on by half a digit makes ones of noughts, for as long as it is
// there; the counter then seems to be set to zero from rest.
TEST(TrustedPath, WithholdsARestAtOnesThroughoutThatEndsByAJump) {
    const CounterShape shape = fixed_cells(4, 1, Padding::zeros, SignPlace::none);
    const auto told_of = [&shape](std::int64_t rest_ticks) {
        std::vector<std::int64_t> ticks(25, rest_ticks);
        for (int i = 0; i < 40; ++i) ticks.push_back(i / 2);
        return told(ticks, kTenthsOfAFoot, shape);
    };
    const TrustedPath ones = told_of(11111);
    EXPECT_EQ(withheld(ones), 25);
    EXPECT_TRUE(ones.jumps.empty());
    const TrustedPath other = told_of(11121);  // a counter that was set to zero
    EXPECT_EQ(withheld(other), 0);
    EXPECT_EQ(other.jumps.size(), 1U);
}

TEST(TrustedPath, KeepsOnesThroughoutThatThePushComesBy) {
    const CounterShape shape = fixed_cells(3, 1, Padding::zeros, SignPlace::none);
    std::vector<std::int64_t> ticks(60);
    for (int i = 0; i < 60; ++i) ticks[i] = 1090 + i / 2;
    EXPECT_EQ(withheld(told(ticks, kTenthsOfAFoot, shape)), 0);
}

}  // namespace
}  // namespace sondeline
