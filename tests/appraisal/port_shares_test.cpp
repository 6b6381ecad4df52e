#include "appraisal/port_shares.hpp"

#include <cmath>
#include <sstream>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace sondeline {
namespace {

using ::testing::HasSubstr;

constexpr double kInch_m = 0.0254;

// Laterals of one box, each with levels that were read over its port.
struct Box {
    Job job;

    Run& lateral(const char* id, double diameter_m, const char* material = "") {
        Run run;
        run.id = RunId{id};
        run.diameter_m = Cell<double>{diameter_m, {}};
        run.material = material;
        job.runs.push_back(run);
        return job.runs.back();
    }

    void level(const char* port, double level_m) {
        LoadStep step;
        step.point = port;
        step.level_m = Cell<double>{level_m, {}};
        job.load_test.push_back(step);
    }

    std::vector<PortShare> shares(double hose_l_s, LengthUnit unit = LengthUnit::metre) const {
        return port_shares(job, {std::nullopt, job.load_test, ""},
                           Estimate{hose_l_s, 0.03 * hose_l_s}, unit);
    }
};

// Head over the invert of a bore that runs off freely: critical depth y = 1.01 D^−0.26 (Q²/g)^0.25
// (Straub, 1978, from memory) and its velocity head Q²/(2 g A²), with the segment
// A = D²/8 (θ − sin θ), θ = 2 acos(1 − 2 y/D).
double head_m(double flow_l_s, double bore_m) {
    constexpr double g = 9.81;
    const double flow = flow_l_s / 1000.0;
    const double y_m = 1.01 * std::pow(bore_m, -0.26) * std::pow(flow * flow / g, 0.25);
    const double angle = 2.0 * std::acos(1.0 - 2.0 * y_m / bore_m);
    const double area_m2 = bore_m * bore_m / 8.0 * (angle - std::sin(angle));
    return y_m + flow * flow / (2.0 * g * area_m2 * area_m2);
}

TEST(PortShares, FollowTheFlowThatTheLevelsLetThrough) {
    Box box;
    box.lateral("L1", 0.1);
    box.lateral("L2", 0.1);
    box.level("port L1", head_m(0.40, 0.1));
    box.level("port L2", head_m(0.10, 0.1));
    const std::vector<PortShare> shares = box.shares(0.5);
    ASSERT_TRUE(shares[0].share_pct) << shares[0].share_withheld;
    EXPECT_NEAR(shares[0].share_pct->value, 80.0, 2.0);
    EXPECT_NEAR(shares[0].share_pct->value + shares[1].share_pct->value, 100.0, 1e-9);
}

TEST(PortShares, AreHalvesForTwoLikePortsAndBoundedOutward) {
    Box box;
    box.lateral("L1", 0.1);
    box.lateral("L2", 0.1);
    box.level("port L1", 0.025);
    box.level("port L2", 0.025);
    const std::vector<PortShare> shares = box.shares(0.6);
    ASSERT_TRUE(shares[0].share_pct) << shares[0].share_withheld;
    EXPECT_DOUBLE_EQ(shares[0].share_pct->value, 50.0);
    EXPECT_NEAR(shares[0].share_pct->hi95 - 50.0, 50.0 - shares[0].share_pct->lo95, 1e-9);
    const std::string& words = shares[0].words;
    const std::string before = "50 % of the water (";
    const std::size_t at = words.find(before);
    ASSERT_NE(at, std::string::npos) << words;
    std::istringstream bounds(words.substr(at + before.size()));
    int lo = 0;
    int hi = 0;
    std::string to;
    ASSERT_TRUE(bounds >> lo >> to >> hi) << words;
    EXPECT_LE(lo, shares[0].share_pct->lo95);
    EXPECT_GE(hi, shares[0].share_pct->hi95);
}

// ASTM D2729: 4 in pipe of 4.215 in outside with walls of 0.075 in is 4.065 in inside (from
// memory); a wider bore passes more at one level.
TEST(PortShares, CountWithTheInsideDiameterOfTheMaterial) {
    Box box;
    box.lateral("L1", 4.0 * kInch_m, "D2729");
    box.lateral("L2", 4.0 * kInch_m, "cast iron");  // 3.94 in (ASTM A74, from memory)
    box.level("port L1", 0.025);
    box.level("port L2", 0.025);
    const std::vector<PortShare> shares = box.shares(0.6);
    ASSERT_TRUE(shares[0].share_pct) << shares[0].share_withheld;
    EXPECT_GT(shares[0].share_pct->value, 50.0);
}

TEST(PortShares, TellHowTheLevelRoseByFirstAndLastReading) {
    Box box;
    box.lateral("L1", 0.1);
    box.level("port L1", 0.5 * kInch_m);
    box.level("port L1", 0.75 * kInch_m);
    box.level("port L1", 1.25 * kInch_m);
    const std::string words = box.shares(0.5, LengthUnit::foot)[0].words;
    EXPECT_THAT(words,
                HasSubstr("0.50 in of water at first, 1.25 in of water at last (+0.75 in) over 3"));
}

TEST(PortShares, CallALevelBelowThePortNoWater) {
    Box box;
    box.lateral("L1", 0.1);
    box.level("port L1", -0.5 * kInch_m);
    EXPECT_THAT(box.shares(0.5, LengthUnit::foot)[0].words,
                HasSubstr("one reading only, no water"));
    box.level("port L1", 0.25 * kInch_m);
    EXPECT_THAT(box.shares(0.5, LengthUnit::foot)[0].words,
                HasSubstr("no water at first, 0.25 in of water at last (+0.25 in)"));
}

TEST(PortShares, AreWithheldFromAllPortsWithOneReason) {
    Box box;
    box.lateral("L1", 0.1);
    box.level("port L1", 0.03);
    box.level("elsewhere", 0.03);
    for (const PortShare& share : box.shares(0.5)) {
        EXPECT_FALSE(share.share_pct.has_value());
        EXPECT_THAT(share.share_withheld, HasSubstr("elsewhere is not known"));
    }
    for (const PortShare& share : port_shares(box.job, {std::nullopt, box.job.load_test, ""},
                                              std::nullopt, LengthUnit::metre)) {
        EXPECT_THAT(share.share_withheld, HasSubstr("is not known"));
    }
}

TEST(PortShares, AreWithheldWhereTheHoseGaveMoreThanThePortsTook) {
    Box box;
    box.lateral("L1", 0.1);
    box.level("L1", 0.010);
    EXPECT_THAT(box.shares(5.0)[0].share_withheld, HasSubstr("the box was still filling"));
}

TEST(PortShares, AreWithheldWhileAnOpenPipeOfTheBoxWasNotRead) {
    Box box;
    for (const char* id : {"L1", "L2", "L3"}) {
        sondeline::Run& run = box.lateral(id, 0.1);
        run.kind = RunKind::lateral;
        run.from = StructureId{"box"};
    }
    box.level("port L1", head_m(0.25, 0.1));
    box.level("port L2", head_m(0.25, 0.1));
    EXPECT_FALSE(box.shares(0.5)[0].share_pct);
    EXPECT_THAT(box.shares(0.5)[0].share_withheld,
                HasSubstr("no level of L3 was read, which takes water from the same box"));
    box.job.runs[2].status = RunStatus::capped;
    EXPECT_TRUE(box.shares(0.5)[0].share_pct);
}

TEST(PortShares, AreNoneWithoutLevels) {
    EXPECT_TRUE(Box().shares(0.5).empty());
}

}  // namespace
}  // namespace sondeline
