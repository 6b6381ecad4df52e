#include "survey/structure_doubts.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace sondeline {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;

// A structure that an effluent line reaches and laterals leave.
struct Fed {
    Job job;

    explicit Fed(StructureKind kind) {
        Structure structure;
        structure.id.text = "B1";
        structure.kind = kind;
        structure.source = {"structures.csv", 5, ""};
        job.structures.push_back(structure);
    }

    Fed& line_in() {
        Run run;
        run.id.text = "EL";
        run.kind = RunKind::effluent_line;
        run.to = StructureId{"B1"};
        job.runs.push_back(run);
        return *this;
    }

    Fed& laterals(int count) {
        for (int i = 0; i < count; ++i) {
            Run run;
            run.id.text = "L" + std::to_string(i + 1);
            run.kind = RunKind::lateral;
            run.from = StructureId{"B1"};
            job.runs.push_back(run);
        }
        return *this;
    }

    Fed& holds_gal(double gallons) {
        job.structures[0].capacity_m3 = Cell<double>{gallons * 3.785411784e-3, {}};
        return *this;
    }

    Findings told() const {
        Findings findings;
        tell_doubted_structures(job, findings);
        return findings;
    }
};

TEST(StructureDoubts, NameABoxThatWasTypedAsATank) {
    const Findings told = Fed(StructureKind::tank).line_in().laterals(3).told();
    ASSERT_EQ(told.size(), 1U);
    EXPECT_EQ(told[0].where.row, 5);
    EXPECT_EQ(told[0].where.column, "kind");
    EXPECT_THAT(told[0].what, HasSubstr("tank, does not fit: 3 laterals start there and the "
                                        "effluent line EL ends there"));
}

TEST(StructureDoubts, NameATankThatWasTypedAsABox) {
    const Findings told = Fed(StructureKind::distribution_box).line_in().holds_gal(1000).told();
    ASSERT_EQ(told.size(), 1U);
    EXPECT_THAT(told[0].what, HasSubstr("it holds 1000 gal (3785 L), as a tank does"));
}

// Systems as they are built (common practice, no source).
TEST(StructureDoubts, AreNotRaisedByWhatIsBuilt) {
    EXPECT_THAT(Fed(StructureKind::distribution_box).line_in().laterals(3).holds_gal(15).told(),
                IsEmpty());
    EXPECT_THAT(Fed(StructureKind::tank).laterals(2).holds_gal(1000).told(), IsEmpty());
    EXPECT_THAT(Fed(StructureKind::tank).line_in().laterals(1).told(), IsEmpty());
    EXPECT_THAT(Fed(StructureKind::seepage_pit).line_in().laterals(2).holds_gal(800).told(),
                IsEmpty());
}

}  // namespace
}  // namespace sondeline
