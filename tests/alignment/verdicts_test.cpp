#include "alignment/verdicts.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "lone_problems.hpp"

namespace sondeline::made {
namespace {

const std::vector<double> every_three{1.0, 4.0, 7.0, 10.0, 13.0, 16.0};

// Runs that leave one box to all sides, straight; fix i of run r is number 6·r + i.
SmallSite star(int runs) {
    SmallSite job;
    job.site.job_unit = LengthUnit::metre;
    const int box = job.structure("box", StructureKind::junction, PlanPoint{0.0, 0.0});
    for (int r = 0; r < runs; ++r) {
        job.run("L" + std::to_string(r + 1), box, std::nullopt, 17.0);
        job.fixes_along(r, Legs({0.0, 0.0}, {{0.0, r * 72.0 * deg}}), every_three);
    }
    return job;
}

TEST(Verdicts, RejectThePositionThatIsProbablyWrongAndNoOther) {
    SmallSite job = star(2);
    job.site.fixes[2].position->at.e_m += 2.0;
    auto data = alignment::observed_on(job.site);
    auto network = alignment::adjust_network(data);
    alignment::settle_verdicts(data, network);
    for (const auto& run : data.runs) {
        for (const auto& datum : run.positions) EXPECT_EQ(datum.rejected, datum.fix == 2);
    }
}

// How far aside the third fix of the first run must stand to be rejected.
double rejected_from_m(SmallSite job) {
    const double east_m = job.site.fixes[2].position->at.e_m;
    double kept = 0.0;
    double rejected = 2.0;
    for (int i = 0; i < 8; ++i) {
        const double middle = 0.5 * (kept + rejected);
        job.site.fixes[2].position->at.e_m = east_m + middle;
        auto data = alignment::observed_on(job.site);
        auto network = alignment::adjust_network(data);
        alignment::settle_verdicts(data, network);
        (data.runs[0].positions[2].rejected ? rejected : kept) = middle;
    }
    return rejected;
}

TEST(Verdicts, AreStricterInAJobWhereManyPositionsAreWrong) {
    const SmallSite clean = star(3);
    SmallSite poor = clean;
    for (const std::size_t fix : {8U, 10U, 14U, 16U}) {
        poor.site.fixes[fix].position->at.e_m += 4.0;
        poor.site.fixes[fix].position->at.n_m += 3.0;
    }
    EXPECT_LT(rejected_from_m(poor), rejected_from_m(clean));
}

}  // namespace
}  // namespace sondeline::made

namespace sondeline::alignment {
namespace {

// Two lines of which one meets the fix and the other passes 1 m from it, taken to be equally good
// otherwise: the odds are those of the two probabilities' mean.
TEST(OutlierLogOdds, AverageOverTheModelsByTheirWeight) {
    RunData data;
    data.x_end_m = 10.0;
    data.positions = {fix_at(5.0, {0.0, 5.0}, 0.1)};
    const Problem problem = lone_problem(data, 0.02);
    const State through = straight_state(problem, 0.0);
    const State past = straight_state(problem, 0.2);  // 5 m · sin 0.2 = 0.99 m aside
    const auto wrong_in = [&](const State& state) {
        return state_of(data.positions[0], RunLine(state.runs[0], place_of(problem, state, 0)))
            .outlier_probability;
    };
    // e^(−½·2 ln 3) = 1/3: weights of 3/4 and 1/4.
    const std::vector<double> odds =
        outlier_log_odds({problem, through}, {{through, 0.0}, {past, 2.0 * std::log(3.0)}});
    const double expected = 0.75 * wrong_in(through) + 0.25 * wrong_in(past);
    EXPECT_GT(wrong_in(past), 0.99);
    EXPECT_NEAR(1.0 / (1.0 + std::exp(-odds[0])), expected, 1e-9);
}

// Mean of a beta distribution after so many of each kind; before, 1 wrong in 20 (from memory, any
// textbook of Bayesian statistics).
TEST(ShareWrong, IsWhatTheJobShowsAndWhatWasKnownBefore) {
    EXPECT_NEAR(share_wrong({}), 0.05, 1e-12);
    std::vector<double> log_odds(30, -40.0);
    EXPECT_NEAR(share_wrong(log_odds), 1.0 / 50.0, 1e-9);
    std::fill(log_odds.begin(), log_odds.begin() + 9, 900.0);
    EXPECT_NEAR(share_wrong(log_odds), 10.0 / 50.0, 1e-9);
    EXPECT_NEAR(share_wrong({0.0}), 1.5 / 21.0, 1e-12);
}

const made::Legs two_turns({0.0, 0.0}, {{0.0, 0.5}, {6.0, 0.5 + 60.0 * degree}, {11.0, 0.5}});

// Drawn straight on the line rejects what lies beyond the turns; nothing is wrong with any of it.
TEST(Believers, AreModelsThatBelieveWhatTheChosenOneRejects) {
    const RunData data =
        run_along(two_turns, {1.0, 2.5, 4.0, 5.5, 8.5, 12.0, 14.5}, 16.0, 0.05, 0.03, 5);
    const Problem problem = lone_problem(data, 0.02);
    const LoneRun lone{problem, straight_state(problem, 0.5)};
    std::vector<Candidate> pool{converged(problem, lone.state, FixLoss::mixture)};
    const double straight_score = pool.front().score;
    add_believers(lone, FixLoss::mixture, pool);
    const auto believes_all = [&](const Candidate& model) {
        const RunLine line(model.state.runs[0], place_of(problem, model.state, 0));
        return std::ranges::all_of(data.positions, [&](const PositionDatum& datum) {
            return state_of(datum, line).outlier_probability < 0.5;
        });
    };
    EXPECT_FALSE(believes_all(pool.front()));
    const auto found = std::ranges::find_if(pool, believes_all);
    ASSERT_NE(found, pool.end());
    EXPECT_LT(found->score, straight_score - 10.0);
}

}  // namespace
}  // namespace sondeline::alignment
