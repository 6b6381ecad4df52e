#include "grade/footage_limit.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "grade/made_run.hpp"

namespace sondeline::grade {
namespace {

using testing::HasSubstr;
using testing::Not;

constexpr double length_m = 20.0;

// A 4 in building sewer of 20 m, whose footage looked along these parts.
AlignedRun run_with(std::vector<LookedAlong> parts) {
    AlignedRun run;
    run.scale = {1.0, 0.0};
    run.run.diameter_m = made::bore_m;
    run.run.looked_along = figure(std::move(parts));
    return run;
}

FootageLimit limit_of(const AlignedRun& run) {
    return footage_limit(run, length_m, LengthUnit::metre);
}

TEST(FootageLimit, IsAsDeepAsTheShareOfTheBore) {
    const FootageLimit limit = limit_of(run_with({{0.0, 20.0, 0.12, false}}));
    ASSERT_TRUE(limit.water_m);
    EXPECT_NEAR(*limit.water_m, 0.0122, 1e-4);  // 0.12 of 101.6 mm
    EXPECT_NEAR(limit.sure, 1.0, 1e-9);
    EXPECT_NEAR(limit.unseen, 0.0, 1e-9);
    EXPECT_THAT(limit.words, HasSubstr("Along 100 % of this run"));
    EXPECT_THAT(limit.words,
                HasSubstr("stands 1.2 cm (0.5 in) deep or deeper, over 1.0 m (3.3 ft)"));
    EXPECT_THAT(limit.words, HasSubstr("rendered footage"));
    EXPECT_THAT(limit.words, Not(HasSubstr("Along 0 %")));
}

TEST(FootageLimit, SaysWhatPartOfTheRunIsWhat) {
    const FootageLimit limit = limit_of(run_with(
        {{0.0, 8.0, 0.12, false}, {8.0, 10.0, 0.12, true}, {10.0, 15.0, std::nullopt, false}}));
    EXPECT_NEAR(limit.sure, 0.40, 1e-9);
    EXPECT_NEAR(limit.open, 0.10, 1e-9);
    EXPECT_NEAR(limit.faint, 0.25, 1e-9);
    EXPECT_NEAR(limit.unseen, 0.25, 1e-9);
    EXPECT_THAT(limit.words, HasSubstr("Along 40 % of this run"));
    EXPECT_THAT(limit.words, HasSubstr("Along 10 % something runs along the wall"));
    EXPECT_THAT(limit.words,
                HasSubstr("look at the clip, above all from 8.0 m (26.2 ft) to 10.0 m (32.8 ft)."));
    EXPECT_THAT(limit.words, HasSubstr("Along 25 % the pipe was seen, but not so plainly"));
    EXPECT_THAT(limit.words, HasSubstr("Along 25 % it was not seen along its axis"));
}

TEST(FootageLimit, GivesNoDepthWhereNoneIsSure) {
    const FootageLimit limit = limit_of(run_with({{0.0, 20.0, std::nullopt, false}}));
    EXPECT_FALSE(limit.water_share);
    EXPECT_FALSE(limit.water_m);
    EXPECT_THAT(limit.words, HasSubstr("Nowhere in the footage of this run"));
}

TEST(FootageLimit, LeavesOpenWhatOneOfTwoClipsLeavesOpen) {
    const FootageLimit limit =
        limit_of(run_with({{0.0, 20.0, 0.12, false}, {5.0, 7.0, 0.12, true}}));
    EXPECT_NEAR(limit.open, 0.10, 1e-9);
    EXPECT_NEAR(limit.sure, 0.90, 1e-9);
}

TEST(FootageLimit, TakesThePlainerOfTwoClips) {
    const FootageLimit limit =
        limit_of(run_with({{0.0, 20.0, std::nullopt, false}, {4.0, 14.0, 0.12, false}}));
    EXPECT_NEAR(limit.sure, 0.50, 1e-9);
    EXPECT_NEAR(limit.faint, 0.50, 1e-9);
}

TEST(FootageLimit, CountsNothingOutsideTheRunAndNothingTwice) {
    const FootageLimit limit =
        limit_of(run_with({{-3.0, 12.0, 0.12, false}, {8.0, 60.0, 0.12, false}}));
    EXPECT_NEAR(limit.sure, 1.0, 1e-9);
}

TEST(FootageLimit, IsAShareWhereTheDiameterIsNotKnown) {
    AlignedRun run = run_with({{0.0, 20.0, 0.12, false}});
    run.run.diameter_m.reset();
    const FootageLimit limit = limit_of(run);
    EXPECT_TRUE(limit.water_share);
    EXPECT_FALSE(limit.water_m);
    EXPECT_THAT(limit.words, HasSubstr("12 % of the inside diameter"));
}

TEST(FootageLimit, IsWithheldForPipesOfASizeThatWasNotMeasured) {
    AlignedRun run = run_with({{0.0, 20.0, 0.12, false}});
    run.run.diameter_m = 0.6;
    const FootageLimit limit = limit_of(run);
    EXPECT_FALSE(limit.water_share);
    EXPECT_NEAR(limit.faint, 1.0, 1e-9);
    EXPECT_THAT(limit.words, HasSubstr("its size was not measured"));
}

TEST(FootageLimit, SaysWhyThereIsNone) {
    AlignedRun run;
    run.run.looked_along =
        withheld<std::vector<LookedAlong>>("No footage of this run was read.", "Record the push.");
    const FootageLimit limit = limit_of(run);
    EXPECT_NEAR(limit.unseen, 1.0, 1e-9);
    EXPECT_THAT(limit.words, HasSubstr("No footage of this run was read."));
    const FootageLimit empty =
        footage_limit(run_with({{0.0, 1.0, 0.12, false}}), 0.0, LengthUnit::metre);
    EXPECT_FALSE(empty.water_share);
    EXPECT_THAT(empty.words, HasSubstr("no length"));
}

}  // namespace
}  // namespace sondeline::grade
