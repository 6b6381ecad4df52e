#include "grade/ground_slips.hpp"

#include <cmath>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "grade/made_run.hpp"

namespace sondeline {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;

// Exactly, by the definition of 1959 (NIST Special Publication 811, appendix B.6).
constexpr double kFoot_m = 0.3048;

// The far end is not open.
made::Survey usual() {
    made::Survey survey = made::locator_and_tapes(2.0);
    survey.taped_end = false;
    return survey;
}

GradeOptions in_feet() {
    GradeOptions options = made::levelled();
    options.unit = LengthUnit::foot;
    return options;
}

// Of the twelve fixes behind the tape.
StationedVertical& nth_fix(made::Run& run, std::size_t n) {
    return made::run_of(run.lines).vertical[1 + n];
}

std::vector<Finding> about_ground(const Profiles& profiles) {
    std::vector<Finding> found;
    for (const Finding& finding : profiles.findings) {
        if (finding.what.starts_with("The ground levelled")) found.push_back(finding);
    }
    return found;
}

TEST(GroundSlips, NamesTheFixWhoseRodWasReadAFootWrongAndDoesWithoutItsHeight) {
    int named = 0;
    int others = 0;
    int told_as_gone = 0;
    int covered = 0;
    int points = 0;
    int ground_right = 0;
    for (int seed = 0; seed < 20; ++seed) {
        for (const std::size_t n : {std::size_t{5}, std::size_t{11}}) {
            made::Run run = made::make_run({}, usual(), seed);
            nth_fix(run, n).row.ground_m->value += seed % 2 == 0 ? kFoot_m : -kFoot_m;
            const Profiles profiles = grade_lines(run.lines, in_feet());
            const std::string source = nth_fix(run, n).row.source;
            told_as_gone += profiles.heights_not_used.fixes == std::vector{nth_fix(run, n).row.fix};
            EXPECT_THAT(profiles.heights_not_used.structures, IsEmpty());
            for (const Finding& finding : about_ground(profiles)) {
                const bool right = finding.what.find("at " + source + " ") != std::string::npos &&
                                   finding.what.find("off by 1 ft") != std::string::npos;
                right ? ++named : ++others;
            }
            for (const ProfilePoint& point : profiles.runs.front().profile) {
                const double truth = made::invert_m(run.pipe, point.station_m);
                ++points;
                covered += point.z_m.lo95 <= truth && truth <= point.z_m.hi95 ? 1 : 0;
                ground_right +=
                    std::abs(point.ground_m->value - made::ground_m(point.station_m)) < 0.15 ? 1
                                                                                             : 0;
            }
        }
    }
    EXPECT_GE(named, 38);  // of 40
    EXPECT_EQ(others, 0);
    EXPECT_EQ(told_as_gone, named);
    EXPECT_GE(covered, points * 9 / 10);
    EXPECT_GE(ground_right, points * 95 / 100);
}

// A sewer from a house to a tank and two lines out of the tank, the rod at the tank a foot wrong.
made::Run with_slip_at_tank(int seed, double slip_m) {
    made::Run run = made::make_run({}, made::locator_and_tapes(2.0), seed);
    for (int more = 1; more <= 2; ++more) {
        made::Run out = made::make_run({}, usual(), 100 * more + seed);
        AlignedRun& line = made::run_of(out.lines);
        line.run.kind = RunKind::effluent_line;
        line.run.from = 1;
        line.run.to = std::nullopt;
        run.lines.runs.push_back(line);
    }
    for (AlignedRun& line : run.lines.runs) {
        const VerticalKind at_tank =
            line.run.to == 1 ? VerticalKind::taped_end : VerticalKind::taped_start;
        for (StationedVertical& seen : line.vertical) {
            if (seen.row.kind == at_tank) seen.row.ground_m->value += slip_m;
        }
    }
    return run;
}

TEST(GroundSlips, NamesTheStructureWhoseRodWasReadAFootWrongAndNoFixBesideIt) {
    int named = 0;
    int told_as_gone = 0;
    int points = 0;
    int covered = 0;
    int slopes_missed = 0;
    for (int seed = 0; seed < 20; ++seed) {
        const made::Run run = with_slip_at_tank(seed, seed % 2 == 0 ? kFoot_m : -kFoot_m);
        const Profiles profiles = grade_lines(run.lines, in_feet());
        const std::vector<Finding> found = about_ground(profiles);
        named += found.size() == 1 && found[0].where.structure == "tank" ? 1 : 0;
        told_as_gone += profiles.heights_not_used.structures == std::vector{1} ? 1 : 0;
        for (const Finding& finding : found) {
            EXPECT_THAT(finding.what, HasSubstr("given at tank stands"));
        }
        for (const GradedRun& graded : profiles.runs) {
            if (graded.slope) {
                const double off = std::abs(graded.slope->value - run.pipe.slope);
                slopes_missed += off > 3.0 * graded.slope->sd ? 1 : 0;
            }
            for (const ProfilePoint& point : graded.profile) {
                const double truth = made::invert_m(run.pipe, point.station_m);
                ++points;
                covered += point.z_m.lo95 <= truth && truth <= point.z_m.hi95 ? 1 : 0;
            }
        }
    }
    EXPECT_GE(named, 19);  // of 20
    EXPECT_EQ(told_as_gone, named);
    EXPECT_LE(slopes_missed, 1);
    EXPECT_GE(covered, points * 9 / 10);
}

// An effluent line to a box and two laterals from it; the heights at the fixes of the laterals
// stand `lift_m` too high, and those of the effluent line `other_m`.
Lines at_a_box(int seed, double lift_m, double other_m) {
    Lines lines;
    for (const char* id : {"tank", "box"}) {
        AlignedStructure structure;
        structure.id.text = id;
        structure.kind = id[0] == 't' ? StructureKind::tank : StructureKind::distribution_box;
        lines.structures.push_back(structure);
    }
    for (int r = 0; r < 3; ++r) {
        made::Survey survey = made::locator_and_tapes(2.0);
        survey.taped_end = r == 0;
        made::Run made = made::make_run({}, survey, 10 * seed + r);
        AlignedRun run = made::run_of(made.lines);
        run.run.id.text = r == 0 ? "EL" : "L" + std::to_string(r);
        run.run.kind = r == 0 ? RunKind::effluent_line : RunKind::lateral;
        run.run.from = r == 0 ? 0 : 1;
        run.run.to = r == 0 ? std::optional(1) : std::nullopt;
        for (StationedVertical& seen : run.vertical) {
            if (seen.row.kind != VerticalKind::sonde_depth) continue;
            seen.row.ground_m->value += r == 0 ? other_m : lift_m;
        }
        lines.runs.push_back(run);
    }
    return lines;
}

TEST(GroundSlips, WithholdRunsWhoseFixesStandApartFromAStructureThatAnotherRunBearsOut) {
    for (int seed = 0; seed < 10; ++seed) {
        const Profiles profiles = grade_lines(at_a_box(seed, 1.8, 0.0), in_feet());
        EXPECT_TRUE(made::any_finding(profiles, "fixes of L1, L2 stand"));
        EXPECT_THAT(about_ground(profiles), IsEmpty());
        EXPECT_TRUE(profiles.runs[0].start_invert_m);
        EXPECT_FALSE(profiles.runs[1].start_invert_m);
        EXPECT_FALSE(profiles.runs[2].start_invert_m);
    }
}

TEST(GroundSlips, WithholdAllWhereStructuresAreOffByOneHeightFromTheFixes) {
    for (int seed = 0; seed < 10; ++seed) {
        const Profiles profiles = grade_lines(at_a_box(seed, 0.6, 0.6), in_feet());
        EXPECT_TRUE(made::any_finding(profiles, "all by about the same"));
        for (const GradedRun& run : profiles.runs) EXPECT_FALSE(run.start_invert_m);
    }
}

TEST(GroundSlips, BelievesARimThatStandsAboveTheLawnWhereTheTapeCountsFromIt) {
    for (int seed = 0; seed < 20; ++seed) {
        made::Run run = made::make_run({}, made::locator_and_tapes(2.0), seed);
        for (StationedVertical& seen : made::run_of(run.lines).vertical) {
            if (seen.row.kind != VerticalKind::taped_end) continue;
            seen.row.ground_m->value += kFoot_m;
            seen.row.depth_m.value += kFoot_m;
        }
        EXPECT_THAT(about_ground(grade_lines(run.lines, in_feet())), IsEmpty());
    }
}

TEST(GroundSlips, BelievesAStepOfTheGroundUnderWhichThePipeRunsOn) {
    for (int seed = 0; seed < 20; ++seed) {
        made::Run run = made::make_run({}, usual(), seed);
        nth_fix(run, 5).row.ground_m->value += kFoot_m;
        nth_fix(run, 5).row.depth_m.value += kFoot_m;
        EXPECT_THAT(about_ground(grade_lines(run.lines, in_feet())), IsEmpty());
    }
}

TEST(GroundSlips, BlamesNoGroundForADepthThatIsAFootWrong) {
    for (int seed = 0; seed < 20; ++seed) {
        made::Run run = made::make_run({}, usual(), seed);
        nth_fix(run, 5).row.depth_m.value += kFoot_m;
        EXPECT_THAT(about_ground(grade_lines(run.lines, in_feet())), IsEmpty());
    }
}

TEST(GroundSlips, SpeaksOfWholeFeetOnlyWhereOneFits) {
    EXPECT_THAT(grade::whole_slip_words("rod reading", -0.31, 0.02, LengthUnit::foot),
                HasSubstr("off by 1 ft"));
    EXPECT_THAT(grade::whole_slip_words("rod reading", 0.45, 0.02, LengthUnit::foot), IsEmpty());
    EXPECT_THAT(grade::whole_slip_words("rod reading", 0.02, 0.02, LengthUnit::foot), IsEmpty());
    EXPECT_THAT(grade::whole_slip_words("rod reading", 39 * 0.3048, 0.2, LengthUnit::foot),
                IsEmpty());
    EXPECT_THAT(grade::whole_slip_words("rod reading", 0.21, 0.02, LengthUnit::metre),
                HasSubstr("off by 20 cm"));
}

}  // namespace
}  // namespace sondeline
