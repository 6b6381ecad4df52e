#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "made/field_jobs.hpp"
#include "small_sites.hpp"

namespace sondeline::made {
namespace {

const std::vector<double> every_three{1.0, 4.0, 7.0, 10.0, 13.0, 16.0};

SmallSite straight_job() {
    SmallSite job;
    const int tank = job.structure("tank", StructureKind::tank, PlanPoint{0.0, 0.0});
    job.run("L1", tank, std::nullopt, 17.0);
    job.fixes_along(0, Legs({0.0, 0.0}, {{0.0, 30.0 * deg}}), every_three);
    return job;
}

SmallSite bent_job(double angle_deg) {
    SmallSite job;
    const int tank = job.structure("tank", StructureKind::tank, PlanPoint{0.0, 0.0});
    job.run("L1", tank, std::nullopt, 17.0);
    const Legs legs({0.0, 0.0}, {{0.0, 30.0 * deg}, {8.4, (30.0 + angle_deg) * deg}});
    job.fixes_along(0, legs, every_three);
    return job;
}

TEST(AlignSite, DrawsAStraightRunThroughItsFixes) {
    const Lines lines = align_site(straight_job().site);
    const AlignedRun& run = lines.runs[0];
    EXPECT_EQ(run.placement, Placement::placed);
    EXPECT_TRUE(run.bends.empty());
    EXPECT_EQ(run.fixes_used, 6);
    ASSERT_GE(run.points.size(), 35u);
    for (const LinePoint& point : run.points) {
        const PlanPoint expected{point.x_m * 0.5, point.x_m * std::sqrt(0.75)};
        EXPECT_LT(apart_m(point.at, expected), 0.01);
    }
    ASSERT_TRUE(run.length_m);
    EXPECT_NEAR(run.length_m->value, 17.0, 0.02);
    EXPECT_LT(run.length_m->lo95, 17.0);
    EXPECT_GT(run.length_m->hi95, 17.0);
    EXPECT_NEAR(run.plan_length_m, run.length_m->value, 0.01);
    EXPECT_TRUE(lines.findings.empty());
}

TEST(AlignSite, DrawsPointsAtMostHalfAMetreApartWithTheirCovariance) {
    const Lines lines = align_site(bent_job(45.0).site);
    const AlignedRun& run = lines.runs[0];
    for (std::size_t i = 1; i < run.points.size(); ++i) {
        EXPECT_LE(run.points[i].station_m - run.points[i - 1].station_m, 0.5 + 1e-9);
        EXPECT_GE(run.points[i].station_m, run.points[i - 1].station_m);
    }
    const auto rows = 2 * static_cast<Eigen::Index>(run.points.size());
    ASSERT_EQ(run.covariance.rows(), rows);
    for (std::size_t i = 0; i < run.points.size(); ++i) {
        const auto at = 2 * static_cast<Eigen::Index>(i);
        EXPECT_DOUBLE_EQ(run.points[i].cov.ee, run.covariance(at, at));
        EXPECT_DOUBLE_EQ(run.points[i].cov.en, run.covariance(at, at + 1));
        EXPECT_GT(run.points[i].cov.ee, 0.0);
    }
}

TEST(AlignSite, FindsABendWithinItsBoundsAndNamesTheFitting) {
    const Lines lines = align_site(bent_job(45.0).site);
    const AlignedRun& run = lines.runs[0];
    ASSERT_EQ(run.bends.size(), 1u);
    EXPECT_NEAR(run.bends[0].station_m, 8.4, 0.2);
    EXPECT_NEAR(run.bends[0].angle_rad.value, 45.0 * deg, 2.0 * run.bends[0].angle_rad.sd);
    EXPECT_LT(run.bends[0].angle_rad.sd, 5.0 * deg);
    EXPECT_EQ(run.bends[0].nearest_fitting, "a 45° fitting");
}

TEST(AlignSite, RejectsABadFixAndSaysWhere) {
    SmallSite job = straight_job();
    SiteFix& bad = job.site.fixes[3];  // 10 m along; moved 1.8 m to the right
    bad.position->at.e_m += 1.8 * std::cos(30.0 * deg);
    bad.position->at.n_m -= 1.8 * std::sin(30.0 * deg);
    job.site.job_unit = LengthUnit::metre;
    const Lines lines = align_site(job.site);
    EXPECT_EQ(lines.fixes[3].use, FixUse::rejected);
    EXPECT_GT(lines.fixes[3].outlier_probability, 0.99);
    EXPECT_NEAR(*lines.fixes[3].across_m, 1.8, 0.05);
    EXPECT_NEAR(*lines.fixes[3].along_m, 0.0, 0.05);
    EXPECT_EQ(lines.runs[0].fixes_rejected, 1);
    ASSERT_EQ(lines.findings.size(), 1u);
    EXPECT_EQ(lines.findings[0].where.file, "fixes.csv");
    EXPECT_EQ(lines.findings[0].where.row, 5);
    EXPECT_EQ(lines.findings[0].where.run, "L1");
    EXPECT_THAT(lines.findings[0].what,
                testing::StartsWith("Fix F4: its position was not used. It lies 1.8"));
    EXPECT_THAT(lines.findings[0].what, testing::HasSubstr("right"));
    for (const std::size_t i : {0u, 1u, 2u, 4u, 5u}) {
        EXPECT_EQ(lines.fixes[i].use, FixUse::used);
    }
}

TEST(AlignSite, SuggestsTheStationAMisreadCounterMeant) {
    SmallSite job = straight_job();
    job.site.job_unit = LengthUnit::metre;
    job.site.fixes[3].x_m = 13.5;  // read at 10.0
    const Lines lines = align_site(job.site);
    EXPECT_EQ(lines.fixes[3].use, FixUse::rejected);
    EXPECT_THAT(lines.fixes[3].why, testing::ContainsRegex("would fit this run at (9.9|10.0)"));
}

TEST(AlignSite, SuggestsTheRunThatAFixWasReallyOn) {
    SmallSite job = straight_job();
    job.run("L2", 0, std::nullopt, 17.0);
    const Legs other({0.0, 0.0}, {{0.0, 75.0 * deg}});
    job.fixes_along(1, other, every_three);
    job.site.fixes[3].position->at = other.at(10.0);
    const Lines lines = align_site(job.site);
    EXPECT_EQ(lines.fixes[3].use, FixUse::rejected);
    EXPECT_THAT(lines.fixes[3].why, testing::HasSubstr("would fit run L2"));
}

// What a finding says of the rest of a fix is what was done with it.
TEST(AlignSite, SaysWhatItUsedOfAFixWhosePositionItLeftOut) {
    const auto with_depth = [](SmallSite& job, std::size_t fix) {
        SiteFix& taken = job.site.fixes[fix];
        taken.depth_m = Estimate{0.8, 0.05};
        VerticalObservation depth;
        depth.fix = static_cast<int>(fix);
        depth.x_m = taken.x_m;
        depth.depth_m = {0.8, 0.05};
        job.site.runs[0].vertical.push_back(depth);
    };
    SmallSite nowhere = straight_job();
    with_depth(nowhere, 3);
    nowhere.site.fixes[3].position->at.e_m -= 6.0;
    const Lines kept = align_site(nowhere.site);
    ASSERT_EQ(kept.fixes[3].use, FixUse::rejected);
    EXPECT_EQ(kept.runs[0].vertical.size(), 1U);
    EXPECT_THAT(kept.findings[0].what, testing::HasSubstr("its position was not used"));
    EXPECT_THAT(kept.findings[0].what, testing::HasSubstr("Its depth was used"));
    EXPECT_THAT(kept.findings[0].what_to_do, testing::StartsWith("Check the position"));

    SmallSite elsewhere = straight_job();
    elsewhere.run("L2", 0, std::nullopt, 17.0);
    const Legs other({0.0, 0.0}, {{0.0, 75.0 * deg}});
    elsewhere.fixes_along(1, other, every_three);
    with_depth(elsewhere, 3);
    elsewhere.site.fixes[3].position->at = other.at(10.0);
    const Lines left_out = align_site(elsewhere.site);
    EXPECT_TRUE(left_out.fixes[3].of_another_run);
    EXPECT_TRUE(left_out.runs[0].vertical.empty());
    EXPECT_THAT(left_out.findings[0].what, testing::HasSubstr("of another run and was not used"));
    EXPECT_THAT(left_out.findings[0].what_to_do, testing::StartsWith("Check which run"));
}

TEST(AlignSite, PlacesABoxNobodySurveyedByTheRunsThatMeetThere) {
    SmallSite job;
    const int tank = job.structure("tank", StructureKind::tank, PlanPoint{0.0, 0.0});
    const int box = job.structure("box", StructureKind::distribution_box, std::nullopt);
    const Legs line({0.0, 0.0}, {{0.0, 0.0}});
    job.run("E1", tank, box, 12.0);
    job.fixes_along(0, line, {2.0, 5.0, 8.0, 11.0});
    job.run("L1", box, std::nullopt, 15.0);
    job.fixes_along(1, Legs({0.0, 12.0}, {{0.0, 40.0 * deg}}), {2.0, 6.0, 10.0, 14.0});
    const Lines lines = align_site(job.site);
    ASSERT_TRUE(lines.structures[1].plan);
    EXPECT_LT(apart_m(lines.structures[1].plan->at, {0.0, 12.0}), 0.1);
    EXPECT_EQ(lines.structures[1].how_fixed, "by the runs that meet there");
    EXPECT_LT(error_ellipse(lines.structures[1].plan->cov).long_sd_m, 0.3);
    EXPECT_EQ(lines.runs[0].placement, Placement::placed);
    EXPECT_EQ(lines.runs[1].placement, Placement::placed);
}

TEST(AlignSite, TellsTheReelsScaleFromRunsBetweenKnownPoints) {
    SmallSite job;
    for (int i = 0; i < 6; ++i) {
        const double e = 10.0 * i;
        const int a = job.structure("A", StructureKind::cleanout, PlanPoint{e, 0.0});
        const int b = job.structure("B", StructureKind::cleanout, PlanPoint{e, 30.0});
        job.run("S", a, b, 30.0 / 1.02);
        job.fixes_along(i, Legs({e, 0.0}, {{0.0, 0.0}}), {});
        job.fix(i, 15.0 / 1.02, PlanPoint{e, 15.0});
    }
    const Lines lines = align_site(job.site);
    EXPECT_NEAR(lines.reels[0].scale.value, 1.02, 0.005);
    EXPECT_TRUE(lines.reels[0].told_by_data);
    EXPECT_NEAR(lines.runs[0].length_m->value, 30.0, 0.1);
}

TEST(AlignSite, CallsBothWaysOfAnAxialHeadingTheSame) {
    SmallSite one = bent_job(30.0);
    SmallSite other = bent_job(30.0);
    for (std::size_t i = 0; i < one.site.fixes.size(); ++i) {
        for (SmallSite* job : {&one, &other}) {
            job->site.fixes[i].heading = axial((i < 3 ? 30.0 : 60.0) * deg);
            job->site.fixes[i].heading_sd_rad = 5.0 * deg;
        }
        other.site.fixes[i].heading->rad += std::numbers::pi;
    }
    const Lines a = align_site(one.site);
    const Lines b = align_site(other.site);
    ASSERT_EQ(a.runs[0].points.size(), b.runs[0].points.size());
    for (std::size_t i = 0; i < a.runs[0].points.size(); ++i) {
        EXPECT_LT(apart_m(a.runs[0].points[i].at, b.runs[0].points[i].at), 1e-6);
    }
    EXPECT_NEAR(*b.fixes[0].heading_rad, 0.0, 3.0 * deg);
}

TEST(AlignSite, ReportsFixesThatScatterMoreThanStated) {
    SmallSite job;
    const int tank = job.structure("tank", StructureKind::tank, PlanPoint{0.0, 0.0});
    const Legs line({0.0, 0.0}, {{0.0, 0.0}});
    Dice dice(7);
    for (int r = 0; r < 3; ++r) {
        job.run("L", tank, std::nullopt, 30.0);
        for (double x = 2.0; x < 30.0; x += 3.0) {
            PlanPoint at = line.at(x);
            at.e_m += dice.normal(0.4);
            at.n_m += dice.normal(0.4);
            job.fix(r, x, at, 0.10);
        }
    }
    const Lines lines = align_site(job.site);
    EXPECT_TRUE(says(lines.findings, "times as much"));
    EXPECT_TRUE(says(lines.findings, "State the accuracy"));
}

// 1.7 m in 17 m: five times what reel and slip usually make of a counter.
TEST(AlignSite, ReportsACounterThatTheStructuresContradict) {
    SmallSite job = straight_job();
    job.structure("pit", StructureKind::cleanout, PlanPoint{18.7 * 0.5, 18.7 * std::sqrt(0.75)});
    job.site.runs[0].to = 1;
    job.site.fixes.resize(1);
    const Lines lines = align_site(job.site);
    EXPECT_TRUE(says(lines.findings, "longer than its counter"));
    EXPECT_LT(lines.runs[0].length_m->lo95, 17.0);
    EXPECT_GT(lines.runs[0].length_m->hi95, 18.7);
}

// A box and an end taped from the wrong side: 24 m apart where the counter counts 15.8 m, and fixes
// that fit neither.
TEST(AlignSite, TakesTheLengthOfARunItCannotPlaceFromTheCounterAlone) {
    SmallSite job;
    const int box = job.structure("box", StructureKind::distribution_box, PlanPoint{0.0, 0.0});
    const int end = job.structure("end", StructureKind::trench_end, PlanPoint{24.0, 0.0});
    job.run("L1", box, end, 15.8);
    job.fix(0, 4.3, PlanPoint{-12.0, -4.0});
    job.fix(0, 9.1, PlanPoint{-12.0, -9.0});
    job.fix(0, 14.0, PlanPoint{-12.0, -14.0});
    job.run("L2", box, std::nullopt, 10.0);
    const Lines lines = align_site(job.site);
    ASSERT_NE(lines.runs[0].placement, Placement::placed);
    for (const auto& [run, counted_m] : {std::pair{0, 15.8}, std::pair{1, 10.0}}) {
        ASSERT_TRUE(lines.runs[run].length_m);
        EXPECT_NEAR(lines.runs[run].length_m->value, counted_m, 0.01 * counted_m) << run;
        EXPECT_LT(lines.runs[run].length_m->lo95, counted_m) << run;
        EXPECT_GT(lines.runs[run].length_m->hi95, counted_m) << run;
    }
    EXPECT_NEAR(lines.reels[0].scale.value, 1.0, 0.01);
    EXPECT_FALSE(lines.reels[0].told_by_data);
}

TEST(AlignSite, ReportsAnEndThatDoesNotMeetItsStructure) {
    SmallSite job;
    const int tank = job.structure("tank", StructureKind::tank, PlanPoint{0.0, 0.0});
    const int box =
        job.structure("box", StructureKind::distribution_box, PlanPoint{10.0, 20.0 * 0.866025});
    job.run("E1", tank, box, 17.0);  // 3 m short of the box
    job.fixes_along(0, Legs({0.0, 0.0}, {{0.0, 30.0 * deg}}), {1.0, 4.0, 7.0, 10.0, 13.0, 16.8});
    const Lines lines = align_site(job.site);
    EXPECT_TRUE(says(lines.findings, "The end of this run lies"));
    EXPECT_TRUE(says(lines.findings, "from box"));
    EXPECT_FALSE(says(lines.findings, "The start of this run lies"));
}

// Three runs round a triangle, of whose corners one was surveyed: every corner is held from two
// sides.
TEST(AlignSite, ClosesALoopOfRuns) {
    SmallSite job;
    const std::vector<PlanPoint> corners{{0.0, 0.0}, {12.0, 0.0}, {6.0, 10.392305}};
    const int a = job.structure("A", StructureKind::cleanout, corners[0]);
    const int b = job.structure("B", StructureKind::cleanout, std::nullopt);
    const int c = job.structure("C", StructureKind::cleanout, std::nullopt);
    const std::vector<double> headings{90.0 * deg, -30.0 * deg, 210.0 * deg};
    const std::vector<std::pair<int, int>> ends{{a, b}, {b, c}, {c, a}};
    for (int i = 0; i < 3; ++i) {
        job.run("R" + std::to_string(i + 1), ends[i].first, ends[i].second, 12.0);
        job.fixes_along(i, Legs(corners[i], {{0.0, headings[i]}}), {2.0, 6.0, 10.0});
    }
    const Lines lines = align_site(job.site);
    for (int i = 0; i < 3; ++i) {
        EXPECT_EQ(lines.runs[i].placement, Placement::placed);
        ASSERT_TRUE(lines.structures[i].plan);
        EXPECT_LT(apart_m(lines.structures[i].plan->at, corners[i]), 0.05);
    }
    EXPECT_TRUE(lines.findings.empty());
}

TEST(AlignSite, GivesTheSameBytesTwice) {
    const RandomJob job = random_job(3, {});
    const Lines a = align_site(job.site);
    const Lines b = align_site(job.site);
    ASSERT_EQ(a.runs.size(), b.runs.size());
    for (std::size_t r = 0; r < a.runs.size(); ++r) {
        ASSERT_EQ(a.runs[r].points.size(), b.runs[r].points.size());
        for (std::size_t i = 0; i < a.runs[r].points.size(); ++i) {
            EXPECT_EQ(a.runs[r].points[i].at.e_m, b.runs[r].points[i].at.e_m);
            EXPECT_EQ(a.runs[r].points[i].cov.ee, b.runs[r].points[i].cov.ee);
        }
        EXPECT_EQ(a.runs[r].quality, b.runs[r].quality);
    }
    ASSERT_EQ(a.findings.size(), b.findings.size());
    for (std::size_t i = 0; i < a.findings.size(); ++i) {
        EXPECT_EQ(a.findings[i].what, b.findings[i].what);
    }
}

// How many points of the lines lie within their 95 % bounds of the pipes as they are.
struct Held {
    int inside = 0;
    int points = 0;

    void count(const RandomJob& job) {
        const Lines lines = align_site(job.site);
        for (std::size_t r = 0; r < lines.runs.size(); ++r) {
            for (const LinePoint& point : lines.runs[r].points) {
                const TruePipe& pipe = job.pipes[r];
                const PlanPoint truth = pipe.at(pipe.s_at(point.x_m));
                const double e = point.at.e_m - truth.e_m;
                const double n = point.at.n_m - truth.n_m;
                const double det = point.cov.ee * point.cov.nn - point.cov.en * point.cov.en;
                const double square =
                    (e * e * point.cov.nn - 2.0 * e * n * point.cov.en + n * n * point.cov.ee) /
                    det;
                inside += square <= ellipse_95 * ellipse_95 ? 1 : 0;
                ++points;
            }
        }
    }
};

// Small sample of the benchmark: bounds must hold most of the time on pipes with known truth.
TEST(AlignSite, BoundsHoldOnInventedPipes) {
    Held held;
    for (std::uint64_t seed = 1; seed <= 12; ++seed) {
        JobRecipe recipe;
        recipe.fix_sd_m = 0.05 * static_cast<double>(1 + seed % 4);
        held.count(random_job(seed, recipe));
    }
    EXPECT_GT(held.points, 1000);
    EXPECT_GT(held.inside, 0.88 * held.points);
    EXPECT_LT(held.inside, 0.995 * held.points);
}

// The same on pipework that does not share the adjustment's idea of a pipe.
TEST(AlignSite, BoundsHoldOnPipeworkOfAnotherKind) {
    Held held;
    for (std::uint64_t seed = 1; seed <= 12; ++seed) {
        FieldRecipe recipe;
        recipe.fix_sd_m = 0.05 * static_cast<double>(1 + seed % 4);
        held.count(field_job(seed, recipe));
    }
    EXPECT_GT(held.points, 1000);
    EXPECT_GT(held.inside, 0.87 * held.points);
    EXPECT_LT(held.inside, 0.995 * held.points);
}

// Without a bend the last fix lies 18 standard deviations off.
TEST(AlignSite, FollowsABendToTheOnlyFixBeyondIt) {
    SmallSite job;
    const int tank = job.structure("tank", StructureKind::tank, PlanPoint{0.0, 0.0});
    job.run("L1", tank, std::nullopt, 17.0);
    const Legs legs({0.0, 0.0}, {{0.0, 30.0 * deg}, {14.4, 120.0 * deg}});
    for (const double x : {1.0, 4.0, 7.0, 10.0, 13.0, 16.5}) {
        job.fix(0, x, legs.at(x), 0.15);
        job.heading(x > 14.4 ? 120.0 * deg : 30.0 * deg);
    }
    const Lines lines = align_site(job.site);
    EXPECT_EQ(lines.runs[0].bends.size(), 1u);
    EXPECT_EQ(lines.runs[0].fixes_rejected, 0);
}

TEST(AlignSite, FollowsTheOffsetBetweenTwoBends) {
    SmallSite job;
    const int tank = job.structure("tank", StructureKind::tank, PlanPoint{0.0, 0.0});
    job.run("L1", tank, std::nullopt, 24.0);
    const Legs legs({0.0, 0.0}, {{0.0, 30.0 * deg}, {8.6, -58.0 * deg}, {14.2, 30.0 * deg}});
    job.fixes_along(0, legs, {1.0, 4.0, 7.0, 10.0, 13.0, 16.0, 19.0, 22.0}, 0.05);
    const Lines lines = align_site(job.site);
    EXPECT_EQ(lines.runs[0].bends.size(), 2u);
    EXPECT_EQ(lines.runs[0].fixes_rejected, 0);
}

}  // namespace
}  // namespace sondeline::made
