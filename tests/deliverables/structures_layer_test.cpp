#include <gtest/gtest.h>

#include "deliverables/layers.hpp"

namespace sondeline {
namespace {

// Two levelled structures, "tank" and "box".
AsBuilt levelled(const Job& job, Site& site, Lines& lines, const Profiles& profiles) {
    for (const char* id : {"tank", "box"}) {
        SiteStructure structure;
        structure.id.text = id;
        structure.surveyed = PlanFix{};
        structure.ground_m = Estimate{99.0, 0.002};
        structure.ground_source = "levelled";
        site.structures.push_back(structure);
        AlignedStructure aligned;
        aligned.id.text = id;
        aligned.plan = PlanFix{};
        lines.structures.push_back(aligned);
    }
    return {job, {}, {}, site, lines, profiles, {}, {}, "0"};
}

struct Ground {
    bool given = false;
    std::string source;
};

Ground ground_of(const Profiles& profiles, std::size_t row) {
    Job job;
    Site site;
    Lines lines;
    const AsBuilt as_built = levelled(job, site, lines, profiles);
    const LayerTable table = structures_layer(as_built);
    return {number_in(table, table.rows.at(row), "ground_m").has_value(),
            text_in(table, table.rows.at(row), "ground_source")};
}

TEST(StructuresLayer, GivesTheElevationOfALevelledStructure) {
    const Ground ground = ground_of({}, 0);
    EXPECT_TRUE(ground.given);
    EXPECT_EQ(ground.source, "levelled");
}

TEST(StructuresLayer, WithholdsAnElevationThatNoFigureRestsOn) {
    Profiles profiles;
    profiles.heights_not_used.exchanged = {1};
    EXPECT_TRUE(ground_of(profiles, 0).given);
    const Ground exchanged = ground_of(profiles, 1);
    EXPECT_FALSE(exchanged.given);
    EXPECT_EQ(exchanged.source,
              "levelled; not used, as it looks written down for another (layer findings)");
    profiles.heights_not_used.exchanged.clear();
    profiles.heights_not_used.structures = {0};
    const Ground slipped = ground_of(profiles, 0);
    EXPECT_FALSE(slipped.given);
    EXPECT_EQ(slipped.source,
              "levelled; not used, as its neighbours and the pipes there contradict it "
              "(layer findings)");
}

}  // namespace
}  // namespace sondeline
