#include "grade/capacity.hpp"

#include <sstream>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace sondeline::grade {
namespace {

using testing::HasSubstr;

constexpr double kInch_m = 0.0254;
constexpr double kFoot_m = 0.3048;
constexpr double kCubicFoot_l = 28.316846592;
constexpr double kGallonPerMinute_l_per_s = 3.785411784 / 60.0;

ManningFlow full(double inches, const Channel& channel) {
    const Bore bore{inches * kInch_m};
    return manning_flow(wetted_section(bore, bore.diameter_m), channel);
}

// A published worked example: D 8 in, S 0.005, n 0.013, full; A 0.349 ft², P 2.094 ft, R 0.167 ft;
// with k = 1.486 V = 2.448 ft/s and Q = 0.854 cfs.
TEST(Manning, AgreesWithAWorkedExample) {
    const WettedSection bore = wetted_section({8.0 * kInch_m}, 8.0 * kInch_m);
    EXPECT_NEAR(bore.area_m2 / (kFoot_m * kFoot_m), 0.349, 5e-4);
    EXPECT_NEAR(bore.perimeter_m / kFoot_m, 2.094, 5e-4);
    EXPECT_NEAR(bore.hydraulic_radius_m / kFoot_m, 0.167, 5e-4);
    const ManningFlow flow = full(8.0, {0.005, 0.013});
    EXPECT_NEAR(flow.velocity_m_per_s / kFoot_m, 2.448, 1e-3);
    EXPECT_NEAR(flow.flow_l_per_s / kCubicFoot_l, 0.854, 1e-3);
}

// Minimum slopes of the Ten States Standards reach 2 ft/s flowing full at n 0.013 (the table, as
// reproduced in the Purcell, Oklahoma code 12-488; velocities recomputed).
TEST(Manning, GivesTwoFeetASecondAtTheTenStatesSlopes) {
    EXPECT_NEAR(full(8.0, {0.0040, 0.013}).velocity_m_per_s / kFoot_m, 2.189, 1e-3);
    EXPECT_NEAR(full(10.0, {0.0028, 0.013}).velocity_m_per_s / kFoot_m, 2.126, 1e-3);
    EXPECT_NEAR(full(12.0, {0.0022, 0.013}).velocity_m_per_s / kFoot_m, 2.128, 1e-3);
    EXPECT_NEAR(full(15.0, {0.0015, 0.013}).velocity_m_per_s / kFoot_m, 2.039, 1e-3);
    EXPECT_NEAR(full(8.0, {0.0040, 0.013}).flow_l_per_s, 21.64, 0.01);
}

// 4 in SDR 35 (inside 3.975 in) at 1/8 in per ft, recomputed from the formula.
TEST(Manning, GivesTheFlowOfAFourInchDrain) {
    constexpr double kSlope = 0.125 / 12.0;
    EXPECT_NEAR(full(3.975, {kSlope, 0.009}).flow_l_per_s / kGallonPerMinute_l_per_s, 123.8, 0.1);
    EXPECT_NEAR(full(3.975, {kSlope, 0.010}).flow_l_per_s / kGallonPerMinute_l_per_s, 111.5, 0.1);
    EXPECT_NEAR(full(3.975, {kSlope, 0.013}).flow_l_per_s / kGallonPerMinute_l_per_s, 85.7, 0.1);
}

// Share of full flow and velocity by depth at constant n: ASCE Manual 60; Chow, Open-Channel
// Hydraulics (1959), from memory and recomputed.
TEST(Manning, AgreesWithTheCurvesOfPartFullFlow) {
    struct Share {
        double depth, velocity, flow;
    };
    constexpr Share kShares[] = {{0.10, 0.4012, 0.0209}, {0.25, 0.7007, 0.1370},
                                 {0.50, 1.0000, 0.5000}, {0.75, 1.1335, 0.9119},
                                 {0.90, 1.1243, 1.0658}, {0.95, 1.0950, 1.0745}};
    const Channel channel{0.01, 0.013};
    const ManningFlow all = manning_flow(wetted_section({0.1}, 0.1), channel);
    for (const Share& share : kShares) {
        const ManningFlow part = manning_flow(wetted_section({0.1}, share.depth * 0.1), channel);
        EXPECT_NEAR(part.velocity_m_per_s / all.velocity_m_per_s, share.velocity, 6e-5);
        EXPECT_NEAR(part.flow_l_per_s / all.flow_l_per_s, share.flow, 6e-5);
    }
}

SiteRun sewer() {
    SiteRun run;
    run.kind = RunKind::building_sewer;
    run.diameter_m = 4.0 * kInch_m;
    run.material = "PVC SDR 35";
    return run;
}

TEST(CapacityWords, GiveFlowWithBoundsAndNameTheFormula) {
    const std::string words =
        capacity_words(sewer(), figure(Estimate{0.125 / 12.0, 0.0005}), LengthUnit::metre);
    EXPECT_THAT(words, HasSubstr("86 gal/min"));
    EXPECT_THAT(words, HasSubstr("95 % bounds"));
    EXPECT_THAT(words, HasSubstr("Manning, n = 0.013"));
    EXPECT_THAT(words, HasSubstr("it keeps itself clean"));
}

// ASTM D3034: 4 in SDR 35 is 3.975 in inside (from memory).
TEST(CapacityWords, GiveTheInsideDiameterInTheUnitOfTheJobFirst) {
    const Figure<Estimate> slope = figure(Estimate{0.0104, 0.0005});
    EXPECT_THAT(capacity_words(sewer(), slope, LengthUnit::foot),
                HasSubstr("inside diameter 3.98 in (101 mm)"));
    EXPECT_THAT(capacity_words(sewer(), slope, LengthUnit::metre),
                HasSubstr("inside diameter 101 mm (3.98 in)"));
}

TEST(CapacityWords, RoundBoundsOfTheFlowOutward) {
    const WettedSection full = wetted_section({3.975 * kInch_m}, 3.975 * kInch_m);
    for (int step = 0; step < 40; ++step) {
        const double sd = 0.0003 + 0.00001 * step;
        const std::string words =
            capacity_words(sewer(), figure(Estimate{0.0104, sd}), LengthUnit::foot);
        std::istringstream bounds(words.substr(words.find("95 % bounds ") + 12));
        double least = 0.0;
        double most = 0.0;
        std::string to;
        ASSERT_TRUE(bounds >> least >> to >> most) << words;
        const auto gal_per_min = [&](double slope) {
            return manning_flow(full, {slope, 0.013}).flow_l_per_s * 60.0 / 3.785411784;
        };
        EXPECT_LE(least, gal_per_min(0.0104 - 1.96 * sd) + 1e-3);
        EXPECT_GE(most, gal_per_min(0.0104 + 1.96 * sd) - 1e-3);
    }
}

// Slope for 2 ft/s in a 3.975 in bore at n 0.013: 0.848 % (recomputed from the formula).
TEST(CapacityWords, TellWhetherThePipeKeepsItselfClean) {
    EXPECT_THAT(capacity_words(sewer(), figure(Estimate{0.0090, 0.0001}), LengthUnit::metre),
                HasSubstr("it keeps itself clean"));
    EXPECT_THAT(capacity_words(sewer(), figure(Estimate{0.0080, 0.0001}), LengthUnit::metre),
                HasSubstr("too slow to keep itself clean"));
    EXPECT_THAT(capacity_words(sewer(), figure(Estimate{0.0085, 0.0010}), LengthUnit::metre),
                HasSubstr("may be too slow"));
}

TEST(CapacityWords, WithholdTheFlowWhereTheRunMayFallBack) {
    EXPECT_THAT(capacity_words(sewer(), figure(Estimate{0.002, 0.002}), LengthUnit::metre),
                HasSubstr("Capacity not given"));
    EXPECT_THAT(
        capacity_words(sewer(), withheld<Estimate>("no ground", "level it"), LengthUnit::metre),
        HasSubstr("slope is withheld"));
    SiteRun lateral = sewer();
    lateral.kind = RunKind::lateral;
    EXPECT_THAT(capacity_words(lateral, figure(Estimate{0.01, 0.0001}), LengthUnit::metre),
                HasSubstr("Capacity not given"));
    SiteRun unknown = sewer();
    unknown.diameter_m.reset();
    EXPECT_THAT(capacity_words(unknown, figure(Estimate{0.01, 0.0001}), LengthUnit::metre),
                HasSubstr("diameter"));
}

// Hydraulic elements at constant n (ASCE Manual 60, from memory): a quarter full carries 13.7 % of
// the full flow, half full half of it.
TEST(NormalDepth, IsThatOfThePublishedCurves) {
    const Bore bore{0.1};
    const Channel channel{0.01, 0.013};
    const double all_l_per_s = manning_flow(wetted_section(bore, 0.1), channel).flow_l_per_s;
    EXPECT_NEAR(normal_depth_m(bore, channel, 0.1370 * all_l_per_s).value(), 0.025, 1e-4);
    EXPECT_NEAR(normal_depth_m(bore, channel, 0.5 * all_l_per_s).value(), 0.05, 1e-4);
    EXPECT_FALSE(normal_depth_m(bore, channel, 1.2 * all_l_per_s));
    EXPECT_FALSE(normal_depth_m(bore, {0.0, 0.013}, 0.1));
}

TEST(Capacity, SaysHowTheDesignFlowRuns) {
    const auto slope = figure(Estimate{0.0104, 0.0002});
    EXPECT_THAT(capacity_words(sewer(), slope, LengthUnit::metre, 2e-5),
                HasSubstr("spread evenly over the day"));
    EXPECT_THAT(capacity_words(sewer(), slope, LengthUnit::metre, 1.0),
                HasSubstr("does not carry the design flow"));
    EXPECT_THAT(capacity_words(sewer(), slope, LengthUnit::metre),
                testing::Not(HasSubstr("design flow")));
}

// Water that stands drops what it carries (common practice, no source): a run that holds some is
// not said to keep itself clean.
TEST(Capacity, DoesNotCallARunThatHoldsWaterClean) {
    const auto slope = figure(Estimate{0.0200, 0.0001});
    EXPECT_THAT(capacity_words(sewer(), slope, LengthUnit::foot),
                HasSubstr("; it keeps itself clean"));
    const std::string wet = capacity_words(sewer(), slope, LengthUnit::foot, std::nullopt, true);
    EXPECT_THAT(wet, HasSubstr("apart from the standing water it keeps itself clean"));
    EXPECT_THAT(wet, HasSubstr("where water stands the pipe does not clean itself"));
}

}  // namespace
}  // namespace sondeline::grade
