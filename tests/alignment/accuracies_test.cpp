#include "alignment/accuracies.hpp"

#include <gtest/gtest.h>

#include "lone_problems.hpp"

namespace sondeline::alignment {
namespace {

using made::Legs;
using made::SmallSite;

// Straight, seen every metre: fixes stated good to `stated_m` that scatter by `noise_m`.
SmallSite seen_often(double stated_m, double noise_m, std::uint64_t seed) {
    SmallSite job;
    const int tank = job.structure("tank", StructureKind::tank, PlanPoint{0.0, 0.0});
    job.run("L1", tank, std::nullopt, 41.0);
    const Legs legs({0.0, 0.0}, {{0.0, 0.4}});
    made::Noise noise(seed);
    for (double x = 0.5; x < 41.0; x += 1.0) {
        PlanPoint at = legs.at(x);
        at.e_m += noise.normal(noise_m);
        at.n_m += noise.normal(noise_m);
        job.fix(0, x, at, stated_m);
    }
    return job;
}

TEST(Accuracies, AreBelievedAsFarAsFewFixesGo) {
    // Six fixes exactly on a straight line: Σs = 0, and of 12 observations 3 are absorbed. Squares
    // below the cut at 99 % are on average 1 − ln(100)/99 of all, so the factor is
    // 8/(8 + 9·0.953).
    SmallSite job;
    const int tank = job.structure("tank", StructureKind::tank, PlanPoint{0.0, 0.0});
    job.run("L1", tank, std::nullopt, 17.0);
    job.fixes_along(0, Legs({0.0, 0.0}, {{0.0, 0.4}}), {1.0, 4.0, 7.0, 10.0, 13.0, 16.0});
    const NetworkData data = observed_on(job.site);
    const auto groups = judged_accuracies(adjust_network(data));
    ASSERT_EQ(groups.size(), 1U);
    EXPECT_EQ(groups[0].fixes, 6);
    EXPECT_NEAR(groups[0].variance_factor, 8.0 / (8.0 + 9.0 * (1.0 - std::log(100.0) / 99.0)),
                0.005);
}

// The factor of many fixes is their true variance over the stated one, which here includes the
// 4 cm of reading the station, half on each axis; eight observations' worth of belief draws it
// to 1. Fixes that scatter twice as much as stated look like outliers at first.
TEST(Accuracies, ComeToWhatTheFixesReallyScatter) {
    double mean = 0.0;
    constexpr int sites = 6;
    for (std::uint64_t seed = 1; seed <= sites; ++seed) {
        const SmallSite job = seen_often(0.1, 0.2, seed);
        NetworkData data = observed_on(job.site);
        Network network = adjust_network(data);
        for (int look = 0; look < 3; ++look) {
            use_accuracies(judged_accuracies(network), data);
            reconsider_bends(data, network);
        }
        mean += judged_accuracies(network).at(0).variance_factor / sites;
    }
    const double factor = 0.2 * 0.2 / (0.1 * 0.1 + 0.5 * 0.04 * 0.04);
    const double observations = 2.0 * 41.0 - 3.0;
    EXPECT_NEAR(mean, (8.0 + observations * factor) / (8.0 + observations), 0.5);
}

// Of fixes that scatter as stated the factor is 1, though those beyond 99 % do not count: what is
// left of an exponential distribution cut at c has the mean 2 − c/(e^(c/2) − 1), which is allowed
// for (integration by parts).
TEST(Accuracies, AreNotTakenForBetterBecauseTheFurthestDoNotCount) {
    double mean = 0.0;
    constexpr int sites = 12;
    for (std::uint64_t seed = 1; seed <= sites; ++seed) {
        const SmallSite job = seen_often(0.2, 0.2, seed);
        const NetworkData data = observed_on(job.site);
        mean += judged_accuracies(adjust_network(data)).at(0).variance_factor / sites;
    }
    EXPECT_NEAR(mean, 1.0, 0.1);
}

// Wrong fixes that lie just short of what is rejected would, counted whole, add Σs/87 to the factor
// of these 41 fixes: six of s = 13 almost 0.9.
TEST(Accuracies, AreNotWidenedByWrongFixesThatLookNearlyRight) {
    const SmallSite job = seen_often(0.2, 0.2, 3);
    NetworkData data = observed_on(job.site);
    const Network network = adjust_network(data);
    const double before = judged_accuracies(network).at(0).variance_factor;
    const RunLine line(network.state.runs[0], place_of(network.problem, network.state, 0));
    for (const std::size_t i : {5U, 11U, 17U, 23U, 29U, 35U}) {
        PositionDatum& datum = data.runs[0].positions[i];
        datum.at_m = line.at(datum.x_m) +
                     Eigen::Vector2d(std::sqrt(13.0) * datum.sd_m * (i % 2 == 0 ? 1.0 : -1.0), 0.0);
        ASSERT_LT(state_of(datum, line).outlier_probability, 0.5);
    }
    const double after = judged_accuracies(network).at(0).variance_factor;
    EXPECT_NEAR(after, before, 0.2);
}

TEST(Accuracies, AreJudgedByGroupsOfEqualStatement) {
    SmallSite job = seen_often(0.1, 0.1, 4);
    for (std::size_t i = 0; i < 10; ++i) job.site.fixes[i].h_sd_stated_m = 0.3;
    const NetworkData data = observed_on(job.site);
    const auto groups = judged_accuracies(adjust_network(data));
    ASSERT_EQ(groups.size(), 2U);
    EXPECT_EQ(groups[0].stated_m, 0.1);
    EXPECT_EQ(groups[1].stated_m, 0.3);
    EXPECT_EQ(groups[1].fixes, 10);
}

TEST(Accuracies, DoNotCountOutliers) {
    SmallSite job = seen_often(0.1, 0.05, 4);
    const NetworkData good = observed_on(job.site);
    const auto before = judged_accuracies(adjust_network(good)).at(0);
    job.site.fixes[20].position->at.e_m += 5.0;
    const NetworkData bad = observed_on(job.site);
    const auto after = judged_accuracies(adjust_network(bad)).at(0);
    EXPECT_EQ(after.fixes, before.fixes - 1);
    EXPECT_NEAR(after.variance_factor, before.variance_factor, 0.1);
}

TEST(Accuracies, CallForAnotherLookOnlyWhereTheyChangeMuch) {
    const SmallSite job = seen_often(0.1, 0.1, 4);
    NetworkData data = observed_on(job.site);
    EXPECT_FALSE(use_accuracies({{.stated_m = 0.1, .variance_factor = 1.2}}, data));
    const double sd = data.runs[0].positions[0].sd_m;
    EXPECT_TRUE(use_accuracies({{.stated_m = 0.1, .variance_factor = 2.4}}, data));
    EXPECT_NEAR(data.runs[0].positions[0].sd_m, std::sqrt(2.0) * sd, 1e-12);
    EXPECT_FALSE(use_accuracies({{.stated_m = 0.7, .variance_factor = 9.0}}, data));
}

TEST(Accuracies, AllowForSharedErrorsAndTakeThatBack) {
    const SmallSite job = seen_often(0.1, 0.1, 4);
    NetworkData data = observed_on(job.site);
    const PositionDatum before = data.runs[0].positions[3];
    allow_for_shared_errors(data, 1.4);
    EXPECT_NEAR(data.runs[0].positions[3].sd_m, std::sqrt(1.4) * before.sd_m, 1e-12);
    allow_for_shared_errors(data, 1.0 / 1.4);
    EXPECT_LT((data.runs[0].positions[3].whitening - before.whitening).norm(), 1e-9);
}

TEST(Accuracies, TurnReadingErrorsAlongTheLineAndKeepTheirFactor) {
    const SmallSite job = seen_often(0.02, 0.02, 4);
    NetworkData data = observed_on(job.site);
    const Network network = adjust_network(data);
    allow_for_shared_errors(data, 3.0);
    orient_reading_errors(network, data);
    const PositionDatum& datum = data.runs[0].positions[20];
    const Eigen::Vector2d along(std::sin(0.4), std::cos(0.4));
    const Eigen::Vector2d across(along.y(), -along.x());
    EXPECT_NEAR(along.dot(datum.covariance_m2 * along), 0.02 * 0.02 + 0.04 * 0.04, 2e-5);
    EXPECT_NEAR(across.dot(datum.covariance_m2 * across), 0.02 * 0.02, 2e-5);
    EXPECT_NEAR(datum.sd_m * datum.sd_m, 3.0 * 0.5 * datum.covariance_m2.trace(), 1e-9);
}

}  // namespace
}  // namespace sondeline::alignment
