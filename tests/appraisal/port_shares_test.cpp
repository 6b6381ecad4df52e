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
        return port_shares(job, Estimate{hose_l_s, 0.03 * hose_l_s}, unit);
    }
};

// Flow over a free entrance by its critical depth, Q = √g (y D^0.26 / 1.01)² (Straub, 1978, from
// memory): 30 mm in a bore of 100 mm pass 0.83 of what the two levels do, 13 mm 0.17.
TEST(PortShares, FollowTheFlowThatTheLevelsLetThrough) {
    Box box;
    box.lateral("L1", 0.1);
    box.lateral("L2", 0.1);
    box.level("port L1", 0.030);
    box.level("port L2", 0.013);
    const auto flow = [](double y_m) {
        return std::sqrt(9.81) * std::pow(y_m * std::pow(0.1, 0.26) / 1.01, 2) * 1000.0;
    };
    const double sum_l_s = flow(0.030) + flow(0.013);
    const std::vector<PortShare> shares = box.shares(sum_l_s);
    ASSERT_TRUE(shares[0].share_pct) << shares[0].share_withheld;
    EXPECT_NEAR(shares[0].share_pct->value, 100.0 * flow(0.030) / sum_l_s, 2.0);
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
    EXPECT_THAT(words, HasSubstr("0.50 in of water at first, 1.25 in at last (+0.75 in) over 3"));
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
    for (const PortShare& share : port_shares(box.job, std::nullopt, LengthUnit::metre)) {
        EXPECT_THAT(share.share_withheld, HasSubstr("was not timed"));
    }
}

TEST(PortShares, AreWithheldWhereTheHoseGaveMoreThanThePortsTook) {
    Box box;
    box.lateral("L1", 0.1);
    box.level("L1", 0.010);
    EXPECT_THAT(box.shares(5.0)[0].share_withheld, HasSubstr("the box was still filling"));
}

TEST(PortShares, AreNoneWithoutLevels) {
    EXPECT_TRUE(Box().shares(0.5).empty());
}

}  // namespace
}  // namespace sondeline
