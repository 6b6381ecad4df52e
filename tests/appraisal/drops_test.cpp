// How far pipes lie apart inside a structure. Errors of differences by the law of propagation of
// variances (JCGM 100:2008, 5.1): √(a² + b²) for independent a and b.
#include "appraisal/drops.hpp"

#include <cmath>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace sondeline {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

constexpr double tape_sd_m = 0.005;

// A box with one pipe in and as many out as are added.
struct Box {
    Lines lines;
    Profiles profiles;
    Findings findings;

    Box() {
        AlignedStructure box;
        box.id = {"box"};
        box.kind = StructureKind::distribution_box;
        lines.structures = {box};
    }

    void pipe(const char* id, bool comes_in, std::optional<double> taped_m,
              std::optional<Bounded> invert_m) {
        AlignedRun run;
        run.run.id = {id};
        (comes_in ? run.run.to : run.run.from) = 0;
        if (taped_m) {
            StationedVertical tape;
            tape.row.kind = comes_in ? VerticalKind::taped_end : VerticalKind::taped_start;
            tape.row.depth_m = {*taped_m, tape_sd_m};
            run.vertical.push_back(tape);
        }
        GradedRun graded;
        graded.id = run.run.id;
        graded.z_reference = ZReference::benchmark;
        auto& end = comes_in ? graded.end_invert_m : graded.start_invert_m;
        if (invert_m) end = figure(*invert_m);
        lines.runs.push_back(run);
        profiles.runs.push_back(graded);
    }

    std::vector<StructureDrop> drops() {
        return drops_at_structures(lines, profiles, LengthUnit::metre, findings);
    }
};

TEST(Drops, OfTapesFromOneRimAreKnownToTheTapesAlone) {
    Box box;
    box.pipe("EL", true, 0.70, Bounded{29.30, 29.20, 29.40});
    box.pipe("L1", false, 0.75, Bounded{29.27, 29.15, 29.39});
    const auto drops = box.drops();
    ASSERT_THAT(drops, SizeIs(1));
    EXPECT_TRUE(drops[0].taped);
    EXPECT_NEAR(drops[0].drop_m.value, 0.05, 1e-12);
    EXPECT_NEAR(drops[0].drop_m.hi95 - 0.05, normal_95 * std::sqrt(2.0) * tape_sd_m, 1e-12);
    EXPECT_THAT(drops[0].words, HasSubstr("taped from one rim"));
    EXPECT_THAT(box.findings, IsEmpty());
}

TEST(Drops, OfProfilesCarryTheBoundsOfBoth) {
    Box box;
    box.pipe("EL", true, {}, Bounded{29.30, 29.27, 29.33});
    box.pipe("L1", false, 0.75, Bounded{29.20, 29.16, 29.24});
    const auto drops = box.drops();
    ASSERT_THAT(drops, SizeIs(1));
    EXPECT_FALSE(drops[0].taped);
    EXPECT_NEAR(drops[0].drop_m.value, 0.10, 1e-12);
    EXPECT_NEAR(drops[0].drop_m.lo95, 0.05, 1e-12);
    EXPECT_NEAR(drops[0].drop_m.hi95, 0.15, 1e-12);
}

// A drop box fills its trench first and passes the rest on by a higher outlet (common practice, no
// source).
TEST(Drops, OfADropBoxToItsTrenchAreHowSuchABoxWorks) {
    const auto told = [](StructureKind kind, const char* lower) {
        Box box;
        box.lines.structures[0].kind = kind;
        AlignedStructure next;
        next.id = {"box 2"};
        next.kind = StructureKind::drop_box;
        box.lines.structures.push_back(next);
        box.pipe("C1", false, lower == std::string_view("C1") ? 0.78 : 0.70, {});
        box.lines.runs.back().run.to = 1;
        box.pipe("L1", false, lower == std::string_view("C1") ? 0.70 : 0.78, {});
        box.drops();
        EXPECT_THAT(box.findings, SizeIs(1));
        return box.findings.at(0);
    };
    const Finding works = told(StructureKind::drop_box, "L1");
    EXPECT_EQ(works.severity, Severity::info);
    EXPECT_THAT(works.what, HasSubstr("So a drop box works"));
    EXPECT_THAT(works.what_to_do, HasSubstr("must be level"));
    EXPECT_THAT(told(StructureKind::drop_box, "C1").what, HasSubstr("outlets are not level"));
    EXPECT_THAT(told(StructureKind::distribution_box, "L1").what,
                HasSubstr("outlets are not level"));
}

TEST(Drops, NameTheLowestOutletOnlyWhereTheTapesTell) {
    Box box;
    box.pipe("L1", false, 0.860, {});
    box.pipe("L2", false, 0.868, {});
    box.pipe("L3", false, 0.830, {});
    const auto drops = box.drops();
    ASSERT_THAT(drops, SizeIs(2));
    EXPECT_EQ(drops[0].from_run.text, "L1");
    EXPECT_EQ(drops[0].to_run.text, "L2");
    EXPECT_THAT(drops[0].words, HasSubstr("cannot be told"));
    EXPECT_EQ(drops[1].from_run.text, "L3");
    EXPECT_THAT(drops[1].words, HasSubstr("by the lower one first"));
    ASSERT_THAT(box.findings, SizeIs(1));
    EXPECT_EQ(box.findings[0].where.structure, "box");
    EXPECT_THAT(box.findings[0].what, HasSubstr("L2 lies 3.8 cm (1.5 in) lower than L3"));
}

TEST(Drops, DoNotCallOutletsUnlevelOfWhichOneMayBeTapedToTheTopOfItsPipe) {
    Box box;
    box.pipe("L1", false, 0.762, {});
    box.pipe("L2", false, 0.870, {});
    box.lines.runs[0].run.diameter_m = 0.1016;
    const auto drops = box.drops();
    ASSERT_THAT(drops, SizeIs(1));
    EXPECT_NEAR(drops[0].drop_m.value, 0.108, 1e-12);
    EXPECT_LT(drops[0].drop_m.lo95, 0.108 - 0.1016);
    EXPECT_THAT(drops[0].words, HasSubstr("L1 may have been taped to the top of its pipe"));
    ASSERT_THAT(box.findings, SizeIs(1));
    EXPECT_THAT(box.findings[0].what, HasSubstr("cannot be told"));
}

// A tank's outlet may lie a bore under its inlet: neither tape is doubted.
TEST(Drops, OfABoreFromInletToOutletAreTold) {
    Box box;
    box.pipe("EL", true, 0.762, {});
    box.pipe("L1", false, 0.8636, {});
    for (AlignedRun& run : box.lines.runs) run.run.diameter_m = 0.1016;
    const auto drops = box.drops();
    ASSERT_THAT(drops, SizeIs(1));
    EXPECT_FALSE(drops[0].top_doubted);
    EXPECT_GT(drops[0].drop_m.lo95, 0.08);
    EXPECT_THAT(drops[0].words, HasSubstr("lower than EL comes in"));
    EXPECT_THAT(box.findings, IsEmpty());
}

TEST(Drops, CallOutletsUnlevelThatLieFartherApartThanABore) {
    Box box;
    box.pipe("L1", false, 0.700, {});
    box.pipe("L2", false, 0.870, {});
    box.lines.runs[0].run.diameter_m = 0.1016;
    ASSERT_THAT(box.drops(), SizeIs(1));
    ASSERT_THAT(box.findings, SizeIs(1));
    EXPECT_THAT(box.findings[0].what, HasSubstr("The outlets are not level"));
}

// The tape of L1 contradicts its depths, so that no profile was given.
TEST(Drops, DoNotCallOutletsUnlevelWhereTheTapeOfOneContradictsItsDepths) {
    Box box;
    box.pipe("EL", true, 0.700, {});
    box.pipe("L1", false, 1.060, {});
    box.pipe("L2", false, 0.760, Bounded{29.2, 29.1, 29.3});
    box.profiles.runs[1].depth_rows_used = 8;
    const auto drops = box.drops();
    EXPECT_THAT(box.findings, IsEmpty());
    ASSERT_THAT(drops, SizeIs(3));
    for (const StructureDrop& drop : drops) {
        if (drop.from_run.text != "L1" && drop.to_run.text != "L1") continue;
        EXPECT_THAT(drop.words, HasSubstr("No profile of L1 is given"));
        EXPECT_LE(drop.drop_m.lo95, 0.0);
    }
    box.profiles.runs[1].depth_rows_used = 0;
    box.drops();
    EXPECT_THAT(box.findings, SizeIs(1));
}

TEST(Drops, SayThatAnOutletLiesHigherThanTheInlet) {
    Box box;
    box.pipe("EL", true, 0.75, {});
    box.pipe("L1", false, 0.70, {});
    EXPECT_NEAR(box.drops().at(0).drop_m.value, -0.05, 1e-12);
    ASSERT_THAT(box.findings, SizeIs(1));
    EXPECT_THAT(box.findings[0].what, HasSubstr("L1 leaves higher than EL comes in"));
}

TEST(Drops, AreLeftOutWhereAnInvertIsNotKnownOrMeansSomethingElse) {
    Box box;
    box.pipe("EL", true, 0.70, {});
    box.pipe("L1", false, {}, Bounded{29.2, 29.1, 29.3});
    EXPECT_THAT(box.drops(), IsEmpty());
    box.pipe("L2", false, {}, Bounded{-0.8, -0.9, -0.7});
    box.profiles.runs.back().z_reference = ZReference::below_ground;
    EXPECT_THAT(box.drops(), IsEmpty());
}

TEST(Drops, AreLeftOutWhereThePushDidNotReachTheStructure) {
    Box box;
    box.pipe("EL", true, 0.70, {});
    box.pipe("L1", false, 0.75, {});
    EXPECT_THAT(box.drops(), SizeIs(1));
    box.lines.runs[0].stops_short = true;
    EXPECT_THAT(box.drops(), IsEmpty());
}

// 34 taken for feet where all other tapes are in inches: 10.4 m.
TEST(Drops, AreNotToldOfATapeInAnotherUnit) {
    Box box;
    box.pipe("EL", true, 0.70, {});
    box.pipe("L1", false, 34.0 * 0.3048, {});
    EXPECT_THAT(box.drops(), IsEmpty());
    ASSERT_THAT(box.findings, SizeIs(1));
    EXPECT_THAT(box.findings[0].what, HasSubstr("EL and L1 lie 9.7 m (31.7 ft) apart"));
}

}  // namespace
}  // namespace sondeline
