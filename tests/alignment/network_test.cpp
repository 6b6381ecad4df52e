#include "alignment/network.hpp"

#include <Eigen/Cholesky>
#include <gtest/gtest.h>

#include "alignment/covariance.hpp"
#include "lone_problems.hpp"
#include "made/random_jobs.hpp"
#include "traverse.hpp"

namespace sondeline::alignment {
namespace {

using made::Legs;
using made::SmallSite;

// Two runs that meet at a box nobody surveyed, and a third from there.
SmallSite meeting_runs() {
    SmallSite job;
    const int tank = job.structure("tank", StructureKind::tank, PlanPoint{0.0, 0.0});
    const int box = job.structure("box", StructureKind::junction, std::nullopt);
    const Legs sewer({0.0, 0.0}, {{0.0, 0.4}});
    job.run("sewer", tank, box, 14.0);
    job.run("left", box, std::nullopt, 12.0);
    job.run("right", box, std::nullopt, 12.0);
    job.fixes_along(0, sewer, {1.0, 4.0, 7.0, 10.0, 13.0}, 0.1);
    job.fixes_along(1, Legs(sewer.at(14.0), {{0.0, -1.0}}), {1.0, 4.0, 7.0, 11.0}, 0.1);
    job.fixes_along(2, Legs(sewer.at(14.0), {{0.0, 1.8}}), {1.0, 4.0, 7.0, 11.0}, 0.1);
    return job;
}

// A run alone, with the rest of the job as a normal distribution, knows of what they share exactly
// what the whole job does (marginals of a normal distribution).
TEST(LoneRun, KnowsWhatTheWholeJobKnows) {
    const SmallSite job = meeting_runs();
    const NetworkData data = observed_on(job.site);
    const Network network = adjust_network(data);
    const Linearised at = linearise(network.problem, network.state, {});
    const Eigen::MatrixXd whole = shared_covariance(network, at);
    for (std::size_t r = 0; r < data.runs.size(); ++r) {
        const LoneRun lone = lone_run(network, at, r);
        const auto alone = unknowns_covariance(lone, FixLoss::mixture);
        ASSERT_TRUE(alone);
        const auto shared = alone->bottomRightCorner<5, 5>();
        const SharedIndex& index = network.problem.shared_of_run[r];
        for (const int i : {0, 1, 4}) {
            for (const int j : {0, 1, 4}) {
                EXPECT_NEAR(shared(i, j), whole(index[i], index[j]), 1e-9 + 1e-6 * whole.norm())
                    << r << ": " << i << ", " << j;
            }
        }
    }
}

TEST(LoneRun, StandsStillWhereTheWholeJobDoes) {
    const SmallSite job = meeting_runs();
    const NetworkData data = observed_on(job.site);
    Network network = adjust_network(data);
    solve(network.problem, network.state, {}, {.steps = 100, .least_gain = 1e-12});
    const Linearised at = linearise(network.problem, network.state, {});
    for (std::size_t r = 0; r < data.runs.size(); ++r) {
        LoneRun lone = lone_run(network, at, r);
        const State before = lone.state;
        solve(lone.problem, lone.state, {}, {.steps = 50, .least_gain = 1e-12});
        EXPECT_LT((lone.state.shared - before.shared).norm(), 1e-3) << r;
        EXPECT_NEAR(lone.state.runs[0].heading0_rad, before.runs[0].heading0_rad, 1e-3) << r;
    }
}

TEST(Network, KnowsLessOfABoxWithoutOneOfItsRuns) {
    const SmallSite job = meeting_runs();
    const NetworkData data = observed_on(job.site);
    const Network network = adjust_network(data);
    const Linearised at = linearise(network.problem, network.state, {});
    const int box = shared_of_node(*data.node_of_structure[1]);
    const double whole = shared_covariance(network, at).block<2, 2>(box, box).trace();
    for (std::size_t r = 0; r < data.runs.size(); ++r) {
        const Eigen::Matrix2d without = shared_covariance(network, at, r).block<2, 2>(box, box);
        EXPECT_GT(without.trace(), whole) << r;
    }
}

TEST(Network, GivesEveryNodeReelAndReceiverItsPlace) {
    SmallSite job = meeting_runs();
    job.site.receivers = {{"rover", 1.0}};
    job.site.fixes[0].receiver = 0;
    const NetworkData data = observed_on(job.site);
    EXPECT_EQ(shared_of_node(1), 2);
    EXPECT_EQ(shared_of_reel(data, 0), 2 * static_cast<int>(data.nodes.size()));
    EXPECT_EQ(shared_of_receiver(data, 0), shared_of_reel(data, 0) + 1);
    EXPECT_EQ(adjust_network(data).state.shared.size(), shared_of_receiver(data, 0) + 2);
}

// The closing error of a straight traverse between two known points is given to each point in
// proportion to its distance from the start (compass rule; Ghilani & Wolf, Elementary Surveying,
// traverse computations, from memory).
TEST(Network, SharesTheClosingErrorOfAStraightRunByDistance) {
    SmallSite job;
    const PlanPoint end{0.12, 29.9};  // the counter says 30 m, the direction is free
    const int tank = job.structure("tank", StructureKind::tank, PlanPoint{0.0, 0.0}, 1e-4);
    const int box = job.structure("box", StructureKind::junction, end, 1e-4);
    SiteRun& run = job.run("L1", tank, box, 30.0);
    run.start_heading = DirectedHeading{0.0};
    run.start_heading_sd_rad = 5.0 * degree;
    job.fix(0, 15.0, std::nullopt);
    job.heading(0.0);
    NetworkData data = observed_on(job.site);
    data.runs[0].port_sd_from_m = data.runs[0].port_sd_to_m = 1e-4;
    const Network network = adjust_network(data);
    const RunLine line(network.state.runs[0], place_of(network.problem, network.state, 0));
    for (const double x : {7.5, 15.0, 22.5}) {
        const Eigen::Vector2d expected = x / 30.0 * vector_of(end);
        EXPECT_LT((line.at(x) - expected).norm(), 0.01) << x;
    }
}

TEST(Network, CostsMoreWhereAFixLiesElsewhere) {
    SmallSite job = meeting_runs();
    const NetworkData good = observed_on(job.site);
    const double before = mixture_cost(adjust_network(good));
    job.site.fixes[2].position->at.e_m += 0.4;
    const NetworkData bad = observed_on(job.site);
    EXPECT_GT(mixture_cost(adjust_network(bad)), before + 1.0);
}

// Every leg a run of its own between structures of which one is known. With ports that may lie off
// by √length and all else tight, errors grow as the compass rule has them, and its coordinates are
// the least-squares ones (Bowditch's derivation of the rule, as surveying texts give it; from
// memory). The rule is worked in traverse.hpp.
TEST(Network, GivesTheCoordinatesOfAPublishedTraverse) {
    constexpr double hundredth = 0.01;  // of the published feet: runs are short beside their ports
    SmallSite job;
    job.structure("A", StructureKind::junction, PlanPoint{100.0, 50.0}, 1e-5);
    for (const char* id : {"B", "C", "D", "E"}) {
        job.structure(id, StructureKind::junction, std::nullopt);
    }
    for (int i = 0; i < 5; ++i) {
        const double length_m = hundredth * made::traverse_legs[i].length;
        SiteRun& run = job.run("leg " + std::to_string(i), i, (i + 1) % 5, length_m);
        run.start_heading = DirectedHeading{made::traverse_legs[i].azimuth_rad()};
        run.start_heading_sd_rad = 1e-6;
        job.fix(i, 0.5 * length_m, std::nullopt);
        job.heading(made::traverse_legs[i].azimuth_rad());
    }
    NetworkData data = observed_on(job.site);
    for (RunData& run : data.runs) {
        run.port_sd_from_m = run.port_sd_to_m = 0.3 * std::sqrt(0.5 * run.x_end_m);
    }
    Network network = adjust_network(data);
    solve(network.problem, network.state, {.fixes = FixLoss::plain},
          {.steps = 200, .least_gain = 0.0});
    const auto expected = made::by_compass_rule({10000.0, 5000.0});
    for (int i = 1; i < 5; ++i) {
        const int node = *data.node_of_structure[i];
        const Eigen::Vector2d at = network.state.shared.segment<2>(shared_of_node(node));
        EXPECT_NEAR(at.x() / hundredth, expected[i].e_m, 0.001) << i;
        EXPECT_NEAR(at.y() / hundredth, expected[i].n_m, 0.001) << i;
    }
}

// An invented job in which two wrong fixes at the end of the line to the box first pull the box
// aside, and a run from there then finds none of its own where it looks for them.
TEST(Network, FindsTheFixesOfARunAgainOnceTheBoxItLeavesStandsElsewhere) {
    const made::RandomJob job = made::random_job(10271, {.fix_sd_m = 0.02});
    const Lines lines = align_site(job.site);
    int rejected = 0;
    int good = 0;
    for (std::size_t i = 0; i < lines.fixes.size(); ++i) {
        if (job.site.fixes[i].run != 2 || job.wrong_fix[i]) continue;
        ++good;
        rejected += lines.fixes[i].use == FixUse::rejected ? 1 : 0;
    }
    EXPECT_EQ(good, 7);
    EXPECT_EQ(rejected, 0);
}

}  // namespace
}  // namespace sondeline::alignment
