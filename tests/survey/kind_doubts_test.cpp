#include "survey/kind_doubts.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace sondeline {
namespace {

using testing::HasSubstr;

// One run between structures of two kinds, as the tables and the site have it.
struct OneRun {
    Job job;
    std::vector<SiteStructure> structures;
    std::vector<SiteRun> runs;
    Findings findings;

    OneRun(RunKind kind, std::optional<StructureKind> from, std::optional<StructureKind> to,
           const std::string& material = "PVC") {
        Run row;
        row.id.text = "L1";
        row.source = {"runs.csv", 4, ""};
        job.runs.push_back(row);
        SiteRun run;
        run.id = row.id;
        run.kind = kind;
        run.material = material;
        if (from) run.from = add("near", *from);
        if (to) run.to = add("far", *to);
        runs.push_back(run);
        doubt_kinds(job, structures, runs, findings);
    }

    int add(const char* id, StructureKind kind) {
        SiteStructure structure;
        structure.id.text = id;
        structure.kind = kind;
        structures.push_back(structure);
        return static_cast<int>(structures.size()) - 1;
    }

    bool doubted() const { return !runs[0].kind_doubt.empty(); }
};

using enum StructureKind;

TEST(KindDoubts, NameTheRowOfALateralThatWasTypedAsASewer) {
    const OneRun run(RunKind::building_sewer, distribution_box, trench_end);
    ASSERT_EQ(run.findings.size(), 1U);
    const Finding& finding = run.findings[0];
    EXPECT_EQ(finding.severity, Severity::caution);
    EXPECT_EQ(finding.where.file, "runs.csv");
    EXPECT_EQ(finding.where.row, 4);
    EXPECT_EQ(finding.where.column, "kind");
    EXPECT_EQ(finding.where.run, "L1");
    EXPECT_THAT(finding.what,
                HasSubstr("building sewer, does not fit: near is a distribution box"));
}

TEST(KindDoubts, AreRaisedByAnEffluentLineThatLeavesABoxAndEndsNowhere) {
    const OneRun blind(RunKind::effluent_line, distribution_box, std::nullopt);
    ASSERT_TRUE(blind.doubted());
    EXPECT_THAT(blind.runs[0].kind_doubt, HasSubstr("leads to no structure"));
    EXPECT_FALSE(OneRun(RunKind::effluent_line, distribution_box, drop_box).doubted());
    EXPECT_FALSE(OneRun(RunKind::effluent_line, tank, std::nullopt).doubted());
    EXPECT_FALSE(OneRun(RunKind::lateral, distribution_box, std::nullopt).doubted());
}

TEST(KindDoubts, AreRaisedByOneEndThatSaysEnough) {
    EXPECT_TRUE(OneRun(RunKind::building_sewer, distribution_box, {}).doubted());
    EXPECT_TRUE(OneRun(RunKind::building_sewer, {}, trench_end).doubted());
    EXPECT_TRUE(OneRun(RunKind::lateral, building, {}).doubted());
}

TEST(KindDoubts, AreRaisedWhicheverWayTheRunWasPushed) {
    EXPECT_TRUE(OneRun(RunKind::effluent_line, trench_end, drop_box).doubted());
    EXPECT_TRUE(OneRun(RunKind::trench, distribution_box, tank).doubted());
    EXPECT_TRUE(OneRun(RunKind::lateral, tank, building).doubted());
}

TEST(KindDoubts, AreRaisedByPerforatedPipe) {
    EXPECT_TRUE(OneRun(RunKind::effluent_line, {}, {}, "PVC Perforated").doubted());
    EXPECT_FALSE(OneRun(RunKind::effluent_line, {}, {}, "non-perforated PVC").doubted());
    EXPECT_FALSE(OneRun(RunKind::lateral, {}, {}, "PVC perforated").doubted());
}

// Systems as they are built (common practice, no source): a cesspool behind the house, a tank that
// feeds a trench without a box, a solid line from tank to pit, trenches between drop boxes.
TEST(KindDoubts, AreNotRaisedByWhatIsBuilt) {
    EXPECT_FALSE(OneRun(RunKind::building_sewer, building, tank).doubted());
    EXPECT_FALSE(OneRun(RunKind::building_sewer, cleanout, seepage_pit).doubted());
    EXPECT_FALSE(OneRun(RunKind::building_sewer, building, pump_chamber).doubted());
    EXPECT_FALSE(OneRun(RunKind::effluent_line, tank, distribution_box).doubted());
    EXPECT_FALSE(OneRun(RunKind::effluent_line, tank, trench_end).doubted());
    EXPECT_FALSE(OneRun(RunKind::effluent_line, tank, seepage_pit).doubted());
    EXPECT_FALSE(OneRun(RunKind::effluent_line, drop_box, drop_box).doubted());
    EXPECT_FALSE(OneRun(RunKind::lateral, distribution_box, trench_end).doubted());
    EXPECT_FALSE(OneRun(RunKind::lateral, tank, trench_end).doubted());
    EXPECT_FALSE(OneRun(RunKind::trench, drop_box, drop_box).doubted());
    EXPECT_FALSE(OneRun(RunKind::trench, drop_box, cleanout).doubted());
    EXPECT_FALSE(OneRun(RunKind::other, building, trench_end).doubted());
}

}  // namespace
}  // namespace sondeline
