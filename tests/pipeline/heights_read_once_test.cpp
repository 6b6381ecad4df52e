#include "pipeline/heights_read_once.hpp"

#include <gtest/gtest.h>

namespace sondeline {
namespace {

Site site_of(const std::vector<std::string>& ids) {
    Site site;
    for (const std::string& id : ids) {
        SiteStructure structure;
        structure.id.text = id;
        structure.ground_m = Estimate{99.0, 0.002};
        structure.ground_source = "levelled";
        site.structures.push_back(structure);
    }
    return site;
}

LevelReading foresight(const char* setup, const char* point) {
    return {setup, point, std::nullopt, 1.5, std::nullopt, {}};
}

TEST(HeightsReadOnce, AreThoseThatOneForesightGives) {
    Job job;
    job.levels = {foresight("1", "house"), foresight("2", "box")};
    const auto found = heights_read_once(job, site_of({"house", "box"}));
    ASSERT_EQ(found.size(), 2U);
    EXPECT_EQ(found[0].structure, 0);
    EXPECT_EQ(found[0].setup, "1");
    EXPECT_EQ(found[1].structure, 1);
    EXPECT_EQ(found[1].setup, "2");
}

TEST(HeightsReadOnce, AreNoneThatWereReadTwiceOrGivenOrStoodOnTwice) {
    Job job;
    job.levels = {foresight("1", "house"), foresight("2", "house"), foresight("1", "tank")};
    job.levels.push_back({"2", "turning", 1.2, 1.5, std::nullopt, {}});
    job.levels.push_back({"2", "mark", std::nullopt, 1.5, 100.0, {}});
    Site site = site_of({"house", "tank", "turning", "mark"});
    site.structures[1].ground_source = "given";
    EXPECT_TRUE(heights_read_once(job, site).empty());
}

}  // namespace
}  // namespace sondeline
