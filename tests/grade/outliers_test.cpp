#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "grade/made_run.hpp"
#include "grade/screening.hpp"

namespace sondeline::grade {
namespace {

using testing::IsEmpty;
using testing::SizeIs;

made::Survey close_depths() {
    made::Survey survey;
    survey.spacing_m = 1.0;
    survey.depth_sd_m = 0.03;
    survey.taped_start = survey.taped_end = true;
    return survey;
}

RunRows rows_of(const made::Run& run) {
    return make_rows(run.lines.runs.front(), ZReference::benchmark, {});
}

TEST(Outliers, FindsADepthHalfAMetreWrong) {
    int found = 0;
    int good_rejected = 0;
    for (int seed = 0; seed < 40; ++seed) {
        made::Run run = made::make_run({}, close_depths(), seed);
        made::run_of(run.lines).vertical[8].row.depth_m.value += seed % 2 == 0 ? 0.5 : -0.5;
        const int wrong = made::run_of(run.lines).vertical[8].row.fix;
        for (const Row& row : screen_rows(rows_of(run)).rejected) {
            row.fix == wrong ? ++found : ++good_rejected;
        }
    }
    EXPECT_EQ(found, 40);
    EXPECT_LE(good_rejected, 3);  // 40 runs of 24 depths
}

TEST(Outliers, KeepsTheDepthsOfARealSag) {
    made::Pipe pipe;
    pipe.sags = {{0.25, 12.0, 4.0}};
    int rejected = 0;
    for (int seed = 0; seed < 40; ++seed) {
        rejected += static_cast<int>(
            screen_rows(rows_of(made::make_run(pipe, close_depths(), seed))).rejected.size());
    }
    EXPECT_LE(rejected, 4);  // of 160 depths within the sags
}

TEST(Outliers, DropsAtMostAThirdOfTheFixes) {
    made::Run run = made::make_run({}, close_depths(), 2);
    for (std::size_t i = 1; i < 25; i += 2) {
        made::run_of(run.lines).vertical[i].row.depth_m.value += 0.3 * static_cast<double>(i);
    }
    EXPECT_LE(screen_rows(rows_of(run)).rejected.size(), 8U);
}

// The sanitizers see what goes wrong there; the plain build passed.
TEST(Outliers, OfNoRowAreNone) {
    const Screening screening = screen_rows(RunRows{});
    EXPECT_THAT(screening.used, testing::IsEmpty());
    EXPECT_THAT(screening.rejected, testing::IsEmpty());
    EXPECT_DOUBLE_EQ(screening.scatter, 1.0);
}

TEST(Outliers, QuestionsATapeThatContradictsTheDepths) {
    made::Run run = made::make_run({}, close_depths(), 4);
    made::run_of(run.lines).vertical.front().row.depth_m.value += 0.6;
    const Screening screening = screen_rows(rows_of(run));
    ASSERT_THAT(screening.tapes_at_odds, SizeIs(1));
    EXPECT_EQ(screening.tapes_at_odds[0].kind, VerticalKind::taped_start);
    EXPECT_THAT(screen_rows(rows_of(made::make_run({}, close_depths(), 4))).tapes_at_odds,
                IsEmpty());
}

TEST(Scatter, IsNearOneForDepthsAsGoodAsStatedAndGrowsWithTheirErrors) {
    double as_stated = 0.0;
    double three_times = 0.0;
    for (int seed = 0; seed < 30; ++seed) {
        made::Survey survey = close_depths();
        as_stated += screen_rows(rows_of(made::make_run({}, survey, seed))).scatter / 30.0;
        survey.error_factor = 3.0;
        three_times += screen_rows(rows_of(made::make_run({}, survey, seed))).scatter / 30.0;
    }
    EXPECT_NEAR(as_stated, 1.0, 0.15);
    EXPECT_GT(three_times, 4.0);
    EXPECT_LT(three_times, 9.5);
}

}  // namespace
}  // namespace sondeline::grade
