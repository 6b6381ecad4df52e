#include "grade/end_depths.hpp"

#include <gtest/gtest.h>

#include "grade/made_run.hpp"

namespace sondeline {
namespace {

// Exactly, by the definition of 1959 (NIST Special Publication 811, appendix B.6).
constexpr double kFoot_m = 0.3048;

// The far end is not open.
made::Survey usual() {
    made::Survey survey = made::locator_and_tapes(2.0);
    survey.taped_end = false;
    return survey;
}

std::vector<Finding> about_end_depths(const made::Run& run) {
    GradeOptions options = made::levelled();
    options.unit = LengthUnit::foot;
    std::vector<Finding> found;
    for (const Finding& finding : grade_lines(run.lines, options).findings) {
        if (finding.what.find("where the grade of all others leads") != std::string::npos) {
            found.push_back(finding);
        }
    }
    return found;
}

TEST(EndDepths, NameALastDepthThatWasMisreadByAFootAndSayWhatElseItMayBe) {
    int named = 0;
    for (int seed = 0; seed < 20; ++seed) {
        made::Run run = made::make_run({}, usual(), seed);
        StationedVertical& last = made::run_of(run.lines).vertical.back();
        last.row.depth_m.value += seed % 2 == 0 ? kFoot_m : -kFoot_m;
        for (const Finding& finding : about_end_depths(run)) {
            EXPECT_NE(finding.what.find("The depth of " + last.row.source + ", the last"),
                      std::string::npos)
                << finding.what;
            EXPECT_NE(finding.what.find("A depth off by 1 ft would explain it"), std::string::npos);
            EXPECT_NE(finding.what.find(seed % 2 == 0 ? "a pipe that drops" : "a pipe that rises"),
                      std::string::npos);
            ++named;
        }
    }
    EXPECT_GE(named, 14);  // of 20: depths good to 6 cm leave the others within chance
}

TEST(EndDepths, SayNothingOfRunsWhoseDepthsAreAsGoodAsStated) {
    int named = 0;
    for (int seed = 0; seed < 60; ++seed) {
        named += static_cast<int>(about_end_depths(made::make_run({}, usual(), seed)).size());
    }
    EXPECT_LE(named, 1);
}

TEST(EndDepths, SayNothingOfAnEndBeyondWhichTheInvertWasTaped) {
    made::Survey survey = usual();
    survey.taped_end = true;
    for (int seed = 0; seed < 20; ++seed) {
        made::Run run = made::make_run({}, survey, seed);
        made::run_of(run.lines).vertical[6].row.depth_m.value += kFoot_m;
        EXPECT_TRUE(about_end_depths(run).empty());
    }
}

// The invert taped at the far end, off by `slip_m`.
Profiles with_tape_off(const made::Pipe& pipe, double spacing_m, int seed, double slip_m) {
    made::Run run = made::make_run(pipe, made::locator_and_tapes(spacing_m), seed);
    made::run_of(run.lines).vertical.back().row.depth_m.value += slip_m;
    GradeOptions options = made::levelled();
    options.unit = LengthUnit::foot;
    return grade_lines(run.lines, options);
}

TEST(EndDepths, WithholdEveryHeightWhereATapeIsAFootOffTheGradeOfAllOthers) {
    int withheld = 0;
    int explained = 0;
    for (int seed = 0; seed < 20; ++seed) {
        const Profiles profiles = with_tape_off({}, 2.0, seed, seed % 2 == 0 ? kFoot_m : -kFoot_m);
        const GradedRun& graded = profiles.runs.front();
        if (graded.slope) continue;
        ++withheld;
        EXPECT_FALSE(graded.end_invert_m);
        EXPECT_TRUE(made::any_finding(profiles, "taped at end) contradicts the depths"));
        explained += made::any_finding(profiles, "A tape or a rod off by 1 ft would explain it.");
    }
    EXPECT_GE(withheld, 18);                  // of 20
    EXPECT_GE(explained, withheld * 9 / 10);  // a foot within two standard deviations
}

TEST(EndDepths, BelieveATapeThatIsRight) {
    for (int seed = 0; seed < 60; ++seed) {
        EXPECT_TRUE(with_tape_off({}, 2.0, seed, 0.0).runs.front().slope) << seed;
    }
}

TEST(EndDepths, BelieveATapeBehindABreakOfTheGradeThatTheDepthsFollow) {
    made::Pipe broken;
    broken.break_at_m = 18.0;
    broken.slope_change = 0.05;
    for (int seed = 0; seed < 20; ++seed) {
        const Profiles profiles = with_tape_off(broken, 1.5, seed, 0.0);
        EXPECT_FALSE(made::any_finding(profiles, "contradicts the depths")) << seed;
    }
}

TEST(EndDepths, SayNothingWhereTheOtherDepthsLieOnNoOneGrade) {
    made::Pipe broken;
    broken.break_at_m = 12.0;
    broken.slope_change = -0.05;
    for (int seed = 0; seed < 20; ++seed) {
        EXPECT_TRUE(about_end_depths(made::make_run(broken, usual(), seed)).empty()) << seed;
    }
}

}  // namespace
}  // namespace sondeline
