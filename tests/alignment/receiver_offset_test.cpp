#include <gtest/gtest.h>

#include "alignment/network.hpp"
#include "made/noise.hpp"
#include "small_sites.hpp"

namespace sondeline::made {
namespace {

const Legs bent({10.0, 20.0}, {{0.0, 40.0 * deg}, {8.0, 85.0 * deg}});
const PlanPoint off_by{1.2, -0.8};

PlanPoint seen(PlanPoint at) {
    return {at.e_m + off_by.e_m, at.n_m + off_by.n_m};
}

// Fixes of a receiver that is off; whether the ends are its own or known points.
SmallSite job_of_a_receiver(bool known_ends) {
    SmallSite job;
    job.site.job_unit = LengthUnit::metre;
    job.site.receivers = {{"rover", 1.5}};
    const auto end_at = [&](double x_m) { return known_ends ? bent.at(x_m) : seen(bent.at(x_m)); };
    const int tank = job.structure("tank", StructureKind::tank, end_at(0.0), 0.02);
    const int box = job.structure("box", StructureKind::junction, end_at(16.0), 0.02);
    job.run("L1", tank, box, 16.0);
    Noise noise(5);
    for (const double x_m : {1.0, 3.0, 5.5, 7.0, 9.5, 11.0, 13.0, 15.0}) {
        PlanPoint at = seen(bent.at(x_m));
        at.e_m += noise.normal(0.03);
        at.n_m += noise.normal(0.03);
        job.fix(0, x_m, at, 0.03).receiver = 0;
    }
    if (!known_ends) {
        for (SiteStructure& structure : job.site.structures) structure.receiver = 0;
    }
    return job;
}

TEST(ReceiverOffset, IsFoundWhereItsFixesMeetKnownPoints) {
    const Lines lines = align_site(job_of_a_receiver(true).site);
    const AlignedRun& run = lines.runs[0];
    EXPECT_EQ(run.fixes_rejected, 0);
    ASSERT_FALSE(run.points.empty());
    for (const LinePoint& point : run.points) {
        EXPECT_LT(apart_m(point.at, bent.at(point.x_m)), 0.12) << point.x_m;
        EXPECT_LT(error_ellipse(point.cov).long_sd_m, 0.2);
    }
    EXPECT_TRUE(says(lines.findings, "The positions of receiver rover lie 1.4"));
    EXPECT_FALSE(says(lines.findings, "whole map"));
}

// Residuals are what is left when the offset is taken off.
TEST(ReceiverOffset, IsNoPartOfTheResiduals) {
    const Lines lines = align_site(job_of_a_receiver(true).site);
    for (const FixResult& fix : lines.fixes) {
        EXPECT_LT(std::hypot(*fix.across_m, *fix.along_m), 0.15);
    }
}

TEST(ReceiverOffset, WidensEveryBoundAlikeWhereAllPositionsShareIt) {
    SmallSite job = job_of_a_receiver(false);
    const Lines shared = align_site(job.site);
    job.site.receivers.clear();
    for (SiteStructure& structure : job.site.structures) structure.receiver.reset();
    for (SiteFix& fix : job.site.fixes) fix.receiver.reset();
    const Lines alone = align_site(job.site);
    const AlignedRun& wide = shared.runs[0];
    const AlignedRun& narrow = alone.runs[0];
    ASSERT_EQ(wide.points.size(), narrow.points.size());
    const double variance = 1.5 * 1.5;
    for (Eigen::Index i = 0; i < wide.covariance.rows(); ++i) {
        for (Eigen::Index j = 0; j < wide.covariance.cols(); ++j) {
            const double more = (i - j) % 2 == 0 ? variance : 0.0;
            ASSERT_NEAR(wide.covariance(i, j), narrow.covariance(i, j) + more, 1e-12);
        }
    }
    for (std::size_t i = 0; i < wide.points.size(); ++i) {
        EXPECT_NEAR(wide.points[i].cov.ee, narrow.points[i].cov.ee + variance, 1e-12);
        EXPECT_NEAR(wide.points[i].cov.en, narrow.points[i].cov.en, 1e-12);
        EXPECT_EQ(wide.points[i].at.e_m, narrow.points[i].at.e_m);
    }
    EXPECT_EQ(wide.length_sd_m, narrow.length_sd_m);
    for (std::size_t i = 0; i < shared.structures.size(); ++i) {
        EXPECT_NEAR(shared.structures[i].plan->cov.nn, alone.structures[i].plan->cov.nn + variance,
                    1e-12);
    }
    EXPECT_TRUE(says(shared.findings, "the whole map may lie 3.67 m off"));
}

// Nothing but the offset ties an island of the receiver to the known points.
TEST(ReceiverOffset, StaysInTheBoundsOfWhatOnlyItsReceiverSaw) {
    SmallSite job = job_of_a_receiver(true);
    for (SiteFix& fix : job.site.fixes) fix.receiver.reset();
    for (SiteFix& fix : job.site.fixes) {
        fix.position->at.e_m -= off_by.e_m;
        fix.position->at.n_m -= off_by.n_m;
    }
    const int box = job.structure("far box", StructureKind::junction, PlanPoint{60.0, 60.0}, 0.02);
    job.site.structures[static_cast<std::size_t>(box)].receiver = 0;
    job.run("L2", box, std::nullopt, 12.0);
    for (const double x_m : {1.0, 4.0, 7.0, 10.0, 11.5}) {
        job.fix(1, x_m, PlanPoint{60.0 + x_m, 60.0}, 0.03).receiver = 0;
    }
    const Lines lines = align_site(job.site);
    ASSERT_FALSE(lines.runs[1].points.empty());
    EXPECT_NEAR(error_ellipse(lines.runs[1].points[2].cov).short_sd_m, 1.5, 0.05);
    EXPECT_LT(error_ellipse(lines.runs[0].points[2].cov).long_sd_m, 0.2);
    EXPECT_TRUE(says(lines.findings, "could not be told from this job"));
}

TEST(ReceiverOffset, OfAnotherReceiverOnTheSameRunGoesIntoItsOwnFixes) {
    SmallSite job = job_of_a_receiver(true);
    job.site.receivers.push_back({"second", 0.7});
    job.site.fixes[3].receiver = 1;
    const auto data = alignment::observed_on(job.site);
    ASSERT_EQ(data.runs[0].receiver, 0);
    EXPECT_FALSE(data.runs[0].positions[3].shares_offset);
    EXPECT_NEAR(data.runs[0].positions[3].sd_m,
                std::sqrt(0.03 * 0.03 + 0.7 * 0.7 + 0.5 * 0.04 * 0.04), 1e-9);
    EXPECT_TRUE(data.runs[0].positions[2].shares_offset);
}

}  // namespace
}  // namespace sondeline::made
