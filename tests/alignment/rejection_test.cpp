#include "alignment/rejection.hpp"

#include <gtest/gtest.h>

#include "small_sites.hpp"

namespace sondeline::made {
namespace {

// Two runs from one box: north, and 3 m to the east of it and parallel after a corner.
SmallSite two_runs() {
    SmallSite job;
    job.site.job_unit = LengthUnit::metre;
    const int box = job.structure("box", StructureKind::junction, PlanPoint{0.0, 0.0});
    job.run("L1", box, std::nullopt, 17.0);
    job.run("L2", box, std::nullopt, 17.0);
    job.fixes_along(0, Legs({0.0, 0.0}, {{0.0, 0.0}}), {1.0, 4.0, 7.0, 10.0, 13.0, 16.0});
    job.fixes_along(1, Legs({0.0, 0.0}, {{0.0, 90.0 * deg}}), {1.0, 4.0, 7.0, 10.0, 13.0, 16.0});
    return job;
}

std::string why(const SmallSite& job, std::size_t fix) {
    const Lines lines = align_site(job.site);
    EXPECT_EQ(lines.fixes[fix].use, FixUse::rejected);
    return lines.fixes[fix].why;
}

TEST(Rejection, NamesTheStationOfItsOwnRunThatWouldFit) {
    SmallSite job = two_runs();
    job.site.fixes[2].position->at = {0.0, 9.0};  // said to be at 7 m
    EXPECT_NE(why(job, 2).find("It would fit this run at 9.0"), std::string::npos) << why(job, 2);
}

TEST(Rejection, NamesTheOtherRunThatWouldFit) {
    SmallSite job = two_runs();
    job.site.fixes[3].position->at = {10.3, 0.0};  // said to be at 10 m of L1
    EXPECT_NE(why(job, 3).find("It would fit run L2."), std::string::npos) << why(job, 3);
}

TEST(Rejection, NamesNothingWhereNothingFits) {
    SmallSite job = two_runs();
    job.site.fixes[3].position->at = {-6.0, 20.0};
    EXPECT_NE(why(job, 3).find("fits no other station and no other run"), std::string::npos);
}

TEST(Rejection, ChoosesNoneOfSeveralRuns) {
    SmallSite job = two_runs();
    // A third run beside the second, closer than their bounds.
    job.run("L3", 0, std::nullopt, 17.0);
    job.fixes_along(2, Legs({0.0, 0.0}, {{0.0, 90.0 * deg}}), {1.0, 4.0, 7.0, 10.0, 13.0, 16.0});
    job.site.fixes[3].position->at = {10.3, 0.0};
    EXPECT_NE(why(job, 3).find("any of the runs L2 and L3"), std::string::npos) << why(job, 3);
}

// A heading that contradicts the run it would lie on speaks against it.
TEST(Rejection, LooksAtTheHeadingToo) {
    SmallSite job = two_runs();
    job.site.fixes[3].position->at = {10.3, 0.0};
    job.site.fixes[3].heading = axial(10.0 * deg);
    job.site.fixes[3].heading_sd_rad = 5.0 * deg;
    EXPECT_EQ(why(job, 3).find("run L2"), std::string::npos);
}

}  // namespace
}  // namespace sondeline::made
