#include <cmath>

#include <gtest/gtest.h>

#include "sondeline/alignment.hpp"

#include "alignment/publish_run.hpp"
#include "alignment/run_data.hpp"
#include "small_sites.hpp"

namespace sondeline {
namespace {

using alignment::own_scale_sd;
using alignment::reel_scale_sd;
using made::deg;
using made::Legs;
using made::SmallSite;

constexpr double kSticksSd = 0.004;

// The product of two normal distributions (any textbook).
Estimate both(const Estimate& a, const Estimate& b) {
    const double wa = 1.0 / (a.sd * a.sd);
    const double wb = 1.0 / (b.sd * b.sd);
    return {(wa * a.value + wb * b.value) / (wa + wb), 1.0 / std::sqrt(wa + wb)};
}

Estimate log_of(const Estimate& scale) {
    return {std::log(scale.value), scale.sd / scale.value};
}

// Two runs without a fix, pushed with one reel; the sticks of the first are known.
SmallSite two_lengths(double by_sticks) {
    SmallSite job;
    const int tank = job.structure("tank", StructureKind::tank, std::nullopt);
    job.run("a", tank, std::nullopt, 20.0).scale_by_sticks = Estimate{by_sticks, kSticksSd};
    job.run("b", tank, std::nullopt, 20.0);
    return job;
}

TEST(Sticks, GiveTheLengthOfARunWithoutFixes) {
    const Lines lines = align_site(two_lengths(0.98).site);
    const Estimate before{0.0, std::hypot(reel_scale_sd, own_scale_sd)};
    const Estimate expected = both(before, {std::log(0.98), kSticksSd / 0.98});
    const Estimate found = log_of(lines.runs[0].scale);
    EXPECT_NEAR(found.value, expected.value, 1e-6);
    EXPECT_NEAR(found.sd, expected.sd, 1e-6);
    EXPECT_NEAR(lines.runs[0].length_m->value, 20.0 * std::exp(expected.value), 1e-4);
    EXPECT_NE(lines.runs[0].quality.find("sticks"), std::string::npos);
}

TEST(Sticks, TellTheOtherRunsOfTheReelWhatTheyAllShare) {
    const Lines lines = align_site(two_lengths(0.98).site);
    const Estimate expected =
        both({0.0, reel_scale_sd}, {std::log(0.98), std::hypot(kSticksSd / 0.98, own_scale_sd)});
    const Estimate reel = log_of(lines.reels[0].scale);
    EXPECT_NEAR(reel.value, expected.value, 1e-6);
    EXPECT_NEAR(reel.sd, expected.sd, 1e-6);
    EXPECT_NEAR(lines.runs[1].length_m->value, 20.0 * std::exp(expected.value), 1e-4);
}

SmallSite located(double sd_m, std::optional<Estimate> by_sticks, double scale) {
    SmallSite job;
    const int tank = job.structure("tank", StructureKind::tank, PlanPoint{0.0, 0.0});
    job.run("a", tank, std::nullopt, 30.0 / scale).scale_by_sticks = by_sticks;
    const Legs line({0.0, 0.0}, {{0.0, 20.0 * deg}});
    for (double s = 3.0; s < 30.0; s += 3.0) job.fix(0, s / scale, line.at(s), sd_m);
    return job;
}

TEST(Sticks, SharpenTheLengthThatRoughPositionsGive) {
    const Lines with = align_site(located(0.5, Estimate{1.02, kSticksSd}, 1.02).site);
    const Lines without = align_site(located(0.5, std::nullopt, 1.02).site);
    EXPECT_NEAR(with.runs[0].length_m->value, 30.0, 0.15);
    EXPECT_LT(with.runs[0].length_sd_m, 0.6 * without.runs[0].length_sd_m);
    EXPECT_LT(std::abs(with.runs[0].length_m->value - 30.0),
              std::abs(without.runs[0].length_m->value - 30.0));
}

// Sticks of 3 m typed as 10 ft.
TEST(Sticks, AreNamedWhereSharpPositionsContradictThem) {
    const Lines lines = align_site(located(0.02, Estimate{3.048 / 3.0, kSticksSd}, 1.0).site);
    EXPECT_TRUE(made::says(lines.findings, "the typed length of its sticks"));
    EXPECT_LE(lines.runs[0].length_m->lo95, 30.0);
    EXPECT_GE(lines.runs[0].length_m->hi95, 30.0 * 3.048 / 3.0);
    const Lines agree = align_site(located(0.02, Estimate{1.003, kSticksSd}, 1.0).site);
    EXPECT_FALSE(made::says(agree.findings, "the typed length of its sticks"));
}

}  // namespace
}  // namespace sondeline
