#include "grade/detection_limit.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "grade/made_run.hpp"

namespace sondeline::grade {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;

Analysis analysis_of(const made::Run& run) {
    const AlignedRun& aligned = run.lines.runs.front();
    return analyse_run(aligned, {true, true, false}, make_rows(aligned, ZReference::benchmark, {}));
}

TEST(DetectionLimit, IsFarAboveWhatMattersForLocatorDepths) {
    const GradedRun run =
        grade_lines(made::make_run({}, made::locator_and_tapes(1.5), 1).lines, made::levelled())
            .runs.front();
    ASSERT_EQ(run.limits.size(), 3U);
    EXPECT_FALSE(run.limits[0].sag_m.has_value());  // 2 m sags lie between the depths
    ASSERT_TRUE(run.limits[1].sag_m.has_value());
    EXPECT_GT(*run.limits[1].sag_m, 0.10);
    EXPECT_GT(*run.limits[1].sag_m, *run.limits[2].sag_m);
    EXPECT_GT(*run.limits[2].sag_m, *run.limits[2].ponding_m);
    EXPECT_THAT(run.limit_words, HasSubstr("smallest sag"));
    EXPECT_THAT(run.limit_words, HasSubstr("may go unseen at any depth"));
}

TEST(DetectionLimit, FallsWithMoreAndBetterDepths) {
    const auto limit = [](const made::Survey& survey) {
        return *detection_limits(analysis_of(made::make_run({}, survey, 1)), {})[1].sag_m;
    };
    made::Survey fine = made::locator_and_tapes(0.5);
    const double many = limit(fine);
    fine.depth_sd_m = 0.01;
    EXPECT_LT(many, limit(made::locator_and_tapes(1.5)));
    EXPECT_LT(limit(fine), 0.5 * many);
}

struct Shown {
    bool there = false;
    bool anywhere = false;
};

// As a dip, or as a depth too deep to be believed.
Shown shown(const made::Run& run) {
    const Profiles profiles = grade_lines(run.lines, made::levelled());
    Shown out;
    const auto found = [&](double from_m, double to_m) {
        out.anywhere = true;
        for (const made::Sag& sag : run.pipe.sags) {
            const double reach_m = sag.width_m / 2.0;
            out.there =
                out.there || (from_m <= sag.centre_m + reach_m && to_m >= sag.centre_m - reach_m);
        }
    };
    for (const Finding& finding : profiles.findings) {
        const bool tells = finding.what.find("dips about") != std::string::npos ||
                           finding.what.find("is suspected") != std::string::npos ||
                           finding.what.find("deeper than its neighbours") != std::string::npos;
        if (tells) found(*finding.where.station_m - 1.0, *finding.where.station_m + 1.0);
    }
    for (const Belly& belly : profiles.runs.front().bellies) found(belly.from_m, belly.to_m);
    return out;
}

// The promise itself, in simulated runs with other noise than that for which it was stated, where
// depths lie so far apart that a sag is mostly seen by one or two of them.
TEST(DetectionLimit, IsWhatSimulatedRunsShowNineTimesInTenWhereverTheSagLies) {
    const made::Survey survey = made::locator_and_tapes(1.5);
    int there = 0;
    int alarms = 0;
    constexpr int kRuns = 200;
    for (int seed = 0; seed < kRuns; ++seed) {
        const made::Run straight = made::make_run({}, survey, 50000 + seed);
        if (shown(straight).anywhere) ++alarms;
        made::Pipe sagging;
        const auto limit_m = detection_limits(analysis_of(straight), {})[1].sag_m;
        ASSERT_TRUE(limit_m.has_value());
        sagging.sags = {{*limit_m, 2.0 + 20.0 * (seed + 0.5) / kRuns, 4.0}};
        if (shown(made::make_run(sagging, survey, 60000 + seed)).there) ++there;
    }
    EXPECT_GE(there, kRuns * 86 / 100);  // two standard deviations of the count
    EXPECT_LE(there, kRuns * 96 / 100);
    EXPECT_LE(alarms, kRuns * 8 / 100);
}

// What is shown at the limit must not be lost where the sag is deeper: its depths are then thrown
// out as bad ones, and said to be.
TEST(DetectionLimit, HoldsForDeeperSags) {
    const made::Survey survey = made::locator_and_tapes(1.5);
    for (int seed = 0; seed < 60; ++seed) {
        made::Pipe sagging;
        sagging.sags = {{0.45, 2.0 + 20.0 * (seed + 0.5) / 60.0, 4.0}};
        EXPECT_TRUE(shown(made::make_run(sagging, survey, 70000 + seed)).there) << seed;
    }
}

// The remedy that the findings give: a depth that reads the same again, and one on either side.
TEST(DetectionLimit, IsMetByTakingTheDepthAgainThatWasTooDeepToBeBelieved) {
    made::Survey survey = made::locator_and_tapes(1.5);
    int told = 0;
    int rejected = 0;
    for (int seed = 0; seed < 40; ++seed) {
        made::Pipe sagging;
        sagging.sags = {{0.45, 11.25, 4.0}};
        const made::Run once = made::make_run(sagging, survey, 80000 + seed);
        if (!made::any_finding(grade_lines(once.lines, made::levelled()), "deeper than its neigh"))
            continue;
        ++rejected;
        made::Run again = once;
        survey.spacing_m = 0.75;
        const made::Run close = made::make_run(sagging, survey, 90000 + seed);
        survey.spacing_m = 1.5;
        for (const StationedVertical& seen : close.lines.runs.front().vertical) {
            if (std::abs(seen.station_m - 11.25) > 1.0) continue;
            made::run_of(again.lines).vertical.push_back(seen);
        }
        const Profiles profiles = grade_lines(again.lines, made::levelled());
        if (made::any_finding(profiles, "is suspected") ||
            made::any_finding(profiles, "dips about") || !profiles.runs.front().bellies.empty()) {
            ++told;
        }
    }
    EXPECT_GE(rejected, 5);
    EXPECT_GE(told, rejected * 9 / 10);
}

TEST(DetectionLimit, CallsADipThatOneDepthCarriesOneOrTheOther) {
    made::Run run = made::make_run({}, made::locator_and_tapes(), 1);
    made::run_of(run.lines).vertical[8].row.depth_m.value += 0.28;
    const Profiles profiles = grade_lines(run.lines, made::levelled());
    EXPECT_TRUE(made::any_finding(
        profiles, "Without the depth of " + made::run_of(run.lines).vertical[8].row.source));
    EXPECT_THAT(profiles.runs.front().bellies, IsEmpty());
}

TEST(DetectionLimit, IsNotGivenWhereOnlyASagThatNoPipeHasWouldShow) {
    made::Survey survey = made::locator_and_tapes(1.0);
    survey.depth_sd_m = survey.constant_sd_m = 1.0;
    const GradedRun run =
        grade_lines(made::make_run({}, survey, 1).lines, made::levelled()).runs.front();
    ASSERT_FALSE(run.limits.empty());
    for (const DetectionLimit& limit : run.limits) EXPECT_FALSE(limit.sag_m.has_value());
    EXPECT_THAT(run.limit_words, HasSubstr("scatter too much"));
}

TEST(DetectionLimit, IsNotGivenWithoutGround) {
    made::Survey survey = made::locator_and_tapes(1.5);
    survey.ground_known = false;
    const GradedRun run =
        grade_lines(made::make_run({}, survey, 1).lines, made::levelled()).runs.front();
    EXPECT_THAT(run.limits, IsEmpty());
    EXPECT_THAT(run.limit_words, HasSubstr("no ground elevations"));
}

}  // namespace
}  // namespace sondeline::grade
