#include "grade/sag_search.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "grade/made_run.hpp"

namespace sondeline::grade {
namespace {

using testing::IsEmpty;
using testing::SizeIs;

struct Searched {
    RunRows run;
    SagSearch search;

    const std::string& carrier() const { return run.rows[*search.shown.front().carried_by].source; }
};

Searched searched(const made::Run& run) {
    Searched out;
    out.run = make_rows(run.lines.runs.front(), ZReference::benchmark, {});
    out.search =
        search_sags(out.run, out.run.rows, weigh_evidence(out.run, out.run.rows, 1.0), 1.0);
    return out;
}

TEST(SagSearch, ShowsASagThatSeveralDepthsShow) {
    made::Pipe pipe;
    pipe.sags = {{0.30, 12.0, 6.0}};
    const Searched of = searched(made::make_run(pipe, made::locator_and_tapes(0.75), 1));
    ASSERT_THAT(of.search.shown, SizeIs(1));
    EXPECT_NEAR(of.search.shown.front().centre_m, 12.0, 1.0);
    EXPECT_NEAR(of.search.shown.front().depth_m.value, 0.30, 0.08);
    EXPECT_FALSE(of.search.shown.front().carried_by.has_value());
}

TEST(SagSearch, SaysThatOneBadDepthAloneCarriesItsDip) {
    made::Run run = made::make_run({}, made::locator_and_tapes(), 1);
    made::run_of(run.lines).vertical[8].row.depth_m.value += 0.35;
    const Searched of = searched(run);
    ASSERT_FALSE(of.search.shown.empty());
    ASSERT_TRUE(of.search.shown.front().carried_by.has_value());
    EXPECT_EQ(of.carrier(), made::run_of(run.lines).vertical[8].row.source);
}

// The second stands out less than the first; at first it is part of the scatter.
TEST(SagSearch, ShowsTheSecondOfTwoSags) {
    made::Pipe pipe;
    pipe.sags = {{0.40, 6.0, 4.0}, {0.25, 18.0, 4.0}};
    int both = 0;
    constexpr int kRuns = 20;
    for (int seed = 0; seed < kRuns; ++seed) {
        const Searched of = searched(made::make_run(pipe, made::locator_and_tapes(0.75), seed));
        const auto near = [&](double at_m) {
            return std::ranges::any_of(of.search.shown, [&](const ShownSag& sag) {
                return std::abs(sag.centre_m - at_m) < 2.0;
            });
        };
        if (near(6.0) && near(18.0)) ++both;
    }
    EXPECT_GE(both, 17);
}

// Heights that a level's piece carries from end to end: one that is off by five standard deviations
// puts a dip or a hump beside it.
TEST(SagSearch, TakesWhatOnePieceOfTheLevelShowsForABadPiece) {
    made::Survey survey = made::locator_and_tapes();
    survey.level = true;
    const auto is_piece = [](const StationedVertical& seen) {
        return seen.row.kind == VerticalKind::level_log;
    };
    int of_straight = 0;
    int of_sagged = 0;
    constexpr int kRuns = 20;
    for (int seed = 0; seed < kRuns; ++seed) {
        made::Run straight = made::make_run({}, survey, seed);
        auto& rows = made::run_of(straight.lines).vertical;
        const auto piece = std::ranges::find_if(rows, is_piece) + 20;
        piece->row.depth_m.value += 5.0 * piece->row.depth_m.sd;
        of_straight += searched(straight).search.shown.empty() ? 0 : 1;
        made::Pipe sagged;
        sagged.sags = {{0.02, 12.0, 4.0}};
        of_sagged += searched(made::make_run(sagged, survey, seed)).search.shown.empty() ? 0 : 1;
    }
    EXPECT_LE(of_straight, 2);
    EXPECT_GE(of_sagged, 19);
}

TEST(SagSearch, ShowsNoneWithoutDepths) {
    made::Survey none;
    none.spacing_m = 0.0;
    none.taped_start = none.taped_end = true;
    const Searched of = searched(made::make_run({}, none, 1));
    EXPECT_THAT(of.search.shown, IsEmpty());
    EXPECT_THAT(of.search.test.places, IsEmpty());
}

}  // namespace
}  // namespace sondeline::grade
