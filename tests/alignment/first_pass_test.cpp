#include "alignment/first_pass.hpp"

#include <gtest/gtest.h>

#include "lone_problems.hpp"

namespace sondeline::alignment {
namespace {

using made::Legs;
using made::SmallSite;

const std::vector<double> every_three{1.0, 4.0, 7.0, 10.0, 13.0};

TEST(FirstPass, GoesFromSurveyedStructuresToWhatTheirRunsReach) {
    SmallSite job;
    const int tank = job.structure("tank", StructureKind::tank, PlanPoint{0.0, 0.0});
    const int box = job.structure("box", StructureKind::junction, std::nullopt);
    const Legs sewer({0.0, 0.0}, {{0.0, 0.4}});
    const Legs lateral(sewer.at(14.0), {{0.0, 1.6}});
    // The run that starts at the unknown box comes first in the table.
    job.run("lateral", box, std::nullopt, 14.0);
    job.run("sewer", tank, box, 14.0);
    job.fixes_along(0, lateral, every_three);
    job.fixes_along(1, sewer, every_three);
    const NetworkData data = observed_on(job.site);
    const Network network = first_pass(data);
    for (const double x : {0.0, 6.0, 14.0}) {
        EXPECT_LT((line_of(network, 0).at(x) - vector_of(lateral.at(x))).norm(), 0.15) << x;
        EXPECT_LT((line_of(network, 1).at(x) - vector_of(sewer.at(x))).norm(), 0.15) << x;
    }
    const int at = shared_of_node(*data.node_of_structure[static_cast<std::size_t>(box)]);
    EXPECT_LT((network.state.shared.segment<2>(at) - vector_of(sewer.at(14.0))).norm(), 0.15);
}

TEST(FirstPass, BeginsAnIslandAtItsOwnFixes) {
    SmallSite job;
    const Legs legs({100.0, -40.0}, {{0.0, 2.0}});
    job.run("island", std::nullopt, std::nullopt, 14.0);
    job.fixes_along(0, legs, every_three);
    const NetworkData data = observed_on(job.site);
    const Network network = first_pass(data);
    EXPECT_LT((line_of(network, 0).at(0.0) - Eigen::Vector2d(100.0, -40.0)).norm(), 0.1);
    EXPECT_LT((line_of(network, 0).at(13.0) - vector_of(legs.at(13.0))).norm(), 0.1);
}

// Both ends known and only an axial heading between: which way it runs follows from the ends.
TEST(FirstPass, LetsARunOfHeadingsWaitForItsEnds) {
    SmallSite job;
    const int tank = job.structure("tank", StructureKind::tank, PlanPoint{0.0, 0.0});
    const int box = job.structure("box", StructureKind::junction, PlanPoint{0.0, -10.0});
    job.run("L1", tank, box, 10.0);
    job.fix(0, 5.0, std::nullopt);
    job.heading(0.02);  // northward, as an axis
    const NetworkData data = observed_on(job.site);
    const Network network = first_pass(data);
    EXPECT_LT((line_of(network, 0).at(5.0) - Eigen::Vector2d(0.0, -5.0)).norm(), 0.2);
}

TEST(FirstPass, HoldsEveryNodeAndReelOnce) {
    SmallSite job;
    const int tank = job.structure("tank", StructureKind::tank, PlanPoint{0.0, 0.0});
    job.run("a", tank, std::nullopt, 14.0).reel = "short";
    job.run("b", tank, std::nullopt, 14.0).reel = "long";
    job.fixes_along(0, Legs({0.0, 0.0}, {{0.0, 0.0}}), every_three);
    job.fixes_along(1, Legs({0.0, 0.0}, {{0.0, 2.0}}), every_three);
    const NetworkData data = observed_on(job.site);
    const Network network = first_pass(data);
    EXPECT_EQ(network.problem.shared.mean.size(), 2 + 2);  // one node, two reels
    EXPECT_EQ(network.problem.shared_of_run[0][4], shared_of_reel(data, 0));
    EXPECT_EQ(network.problem.shared_of_run[1][4], shared_of_reel(data, 1));
}

// Length and heading lead from the known end back to the start (forward computation of a course:
// any surveying text).
TEST(FirstPass, LooksForTheStartOfARunWithoutPositionsFromItsKnownEnd) {
    SmallSite job;
    const int box = job.structure("box", StructureKind::junction, std::nullopt);
    const int tank = job.structure("tank", StructureKind::tank, PlanPoint{300.0, 400.0});
    SiteRun& run = job.run("L1", box, tank, 20.0);
    run.start_heading = DirectedHeading{0.5};
    run.start_heading_sd_rad = 0.01;
    job.fix(0, 10.0, std::nullopt);
    job.heading(0.5);
    const NetworkData data = observed_on(job.site);
    const Network network = first_pass(data);
    const int at = shared_of_node(*data.node_of_structure[static_cast<std::size_t>(box)]);
    const Eigen::Vector2d expected(300.0 - 20.0 * std::sin(0.5), 400.0 - 20.0 * std::cos(0.5));
    EXPECT_LT((network.state.shared.segment<2>(at) - expected).norm(), 0.5);
}

}  // namespace
}  // namespace sondeline::alignment
