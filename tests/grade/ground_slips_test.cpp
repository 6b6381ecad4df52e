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
    int covered = 0;
    int points = 0;
    int ground_right = 0;
    for (int seed = 0; seed < 20; ++seed) {
        for (const std::size_t n : {std::size_t{5}, std::size_t{11}}) {
            made::Run run = made::make_run({}, usual(), seed);
            nth_fix(run, n).row.ground_m->value += seed % 2 == 0 ? kFoot_m : -kFoot_m;
            const Profiles profiles = grade_lines(run.lines, in_feet());
            const std::string source = nth_fix(run, n).row.source;
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
    EXPECT_GE(covered, points * 9 / 10);
    EXPECT_GE(ground_right, points * 95 / 100);
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
    EXPECT_THAT(grade::whole_slip_words("rod reading", 0.21, 0.02, LengthUnit::metre),
                HasSubstr("off by 20 cm"));
}

}  // namespace
}  // namespace sondeline
