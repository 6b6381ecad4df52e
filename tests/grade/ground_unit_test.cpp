#include "grade/ground_unit.hpp"

#include <gtest/gtest.h>

#include "grade/made_run.hpp"

namespace sondeline {
namespace {

// Exactly, by the definition of 1959 (NIST Special Publication 811, appendix B.6).
constexpr double kFoot_m = 0.3048;

// A sewer to a tank and two laterals of a box, under ground that falls 4 %.
Lines site(double written_times, double sewer_slope = 0.0125, double lateral_slope = 0.003) {
    Lines lines;
    for (const StructureKind kind :
         {StructureKind::building, StructureKind::tank, StructureKind::distribution_box}) {
        AlignedStructure structure;
        structure.kind = kind;
        lines.structures.push_back(structure);
    }
    for (int r = 0; r < 3; ++r) {
        made::Pipe pipe;
        pipe.slope = r == 0 ? sewer_slope : lateral_slope;
        made::Survey survey = made::locator_and_tapes();
        survey.taped_end = r == 0;
        made::Run made = made::make_run(pipe, survey, 1 + r);
        AlignedRun run = made::run_of(made.lines);
        run.run.id.text = r == 0 ? "BS" : "L" + std::to_string(r);
        run.run.from = r == 0 ? 0 : 2;
        run.run.to = r == 0 ? std::optional(1) : std::nullopt;
        if (r > 0) run.run.kind = RunKind::lateral;
        for (StationedVertical& seen : run.vertical) {
            seen.row.ground_m->value -= 0.03 * seen.station_m;
            seen.row.depth_m.value -= 0.03 * seen.station_m;
            seen.row.ground_m->value = 100.0 + written_times * (seen.row.ground_m->value - 100.0);
        }
        lines.runs.push_back(run);
    }
    return lines;
}

Profiles graded(const Lines& lines, LengthUnit unit) {
    GradeOptions options = made::levelled();
    options.unit = unit;
    return grade_lines(lines, options);
}

TEST(GroundUnit, OfRodsInMetresInAJobInFeetIsNamedAndNoSlopeOrInvertIsGiven) {
    const Profiles profiles = graded(site(kFoot_m), LengthUnit::foot);
    EXPECT_TRUE(made::any_finding(profiles, "look written in metres in a job in feet"));
    for (const GradedRun& run : profiles.runs) {
        EXPECT_FALSE(run.slope);
        EXPECT_FALSE(run.start_invert_m);
        EXPECT_TRUE(run.bellies.empty());
    }
    EXPECT_FALSE(made::any_finding(profiles, "wrong way"));
}

TEST(GroundUnit, OfRodsInFeetInAJobInMetresIsNamed) {
    EXPECT_TRUE(made::any_finding(graded(site(1.0 / kFoot_m), LengthUnit::metre),
                                  "look written in feet in a job in metres"));
}

TEST(GroundUnit, IsBelievedWhereItIsRight) {
    for (const LengthUnit unit : {LengthUnit::foot, LengthUnit::metre}) {
        EXPECT_FALSE(made::any_finding(graded(site(1.0), unit), "look written in"));
    }
}

TEST(GroundUnit, IsNotBlamedForASewerThatFallsBack) {
    const Profiles profiles = graded(site(1.0, -0.01), LengthUnit::foot);
    EXPECT_FALSE(made::any_finding(profiles, "look written in"));
    EXPECT_TRUE(made::any_finding(profiles, "wrong way"));
}

}  // namespace
}  // namespace sondeline
