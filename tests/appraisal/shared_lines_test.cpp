#include "appraisal/shared_lines.hpp"

#include <cmath>
#include <numbers>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace sondeline {
namespace {

using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::SizeIs;

// Straight pipes drawn with an accuracy of 3 cm and depths known to 5 cm.
struct Pipes {
    Job job;
    Site site;
    Lines lines;
    Profiles profiles;

    struct Course {
        PlanPoint start;
        double heading_rad = 0.0;
        double length_m = 0.0;
        double depth_m = 1.0;
    };

    void add(const char* id, const Course& course) {
        SiteRun run;
        run.id.text = id;
        run.kind = RunKind::lateral;
        run.end_told = true;
        site.runs.push_back(run);
        AlignedRun line;
        line.run = run;
        line.length_m =
            figure(Bounded{course.length_m, course.length_m - 0.1, course.length_m + 0.1});
        GradedRun graded;
        graded.id = run.id;
        const int points = static_cast<int>(std::ceil(course.length_m / 0.5)) + 1;
        line.covariance = Eigen::MatrixXd::Identity(2 * points, 2 * points) * 0.0009;
        for (int i = 0; i < points; ++i) {
            const double station_m = course.length_m * i / (points - 1);
            line.points.push_back({station_m,
                                   station_m,
                                   {course.start.e_m + station_m * std::sin(course.heading_rad),
                                    course.start.n_m + station_m * std::cos(course.heading_rad)},
                                   course.heading_rad,
                                   {0.0009, 0.0, 0.0009}});
            ProfilePoint point;
            point.station_m = station_m;
            point.cover_m = Bounded{course.depth_m, course.depth_m - 0.05, course.depth_m + 0.05};
            graded.profile.push_back(point);
        }
        lines.runs.push_back(line);
        profiles.runs.push_back(graded);
    }

    std::vector<SharedLine> shared() const { return shared_lines(lines, profiles); }
};

constexpr double kEast_rad = std::numbers::pi / 2.0;

TEST(SharedLines, AreThoseOfOnePipePushedTwiceAlsoFromItsFarEnd) {
    Pipes pipes;
    pipes.add("L1", {{0.0, 0.0}, kEast_rad, 18.0});
    pipes.add("L1 again", {{0.0, 0.05}, kEast_rad, 10.0});
    pipes.add("back", {{18.0, -0.02}, -kEast_rad, 17.0});
    const auto shared = pipes.shared();
    ASSERT_THAT(shared, SizeIs(3));
    EXPECT_EQ(shared[0].run.text, "L1 again");
    EXPECT_EQ(shared[0].longer.text, "L1");
    EXPECT_NEAR(shared[0].length_m, 10.0, 1e-6);
    EXPECT_NEAR(shared[0].apart_m, 0.05, 1e-6);
    const auto twice = counted_twice(shared, pipes.lines, {0, 1, 2});
    EXPECT_THAT(twice->runs, SizeIs(2));
    EXPECT_NEAR(twice->length_m, 27.0, 0.3);
}

// Pipes in trenches of their own lie a metre apart at least (common practice, no source).
TEST(SharedLines, AreNoneOfPipesBesideOneAnotherOrAtAnotherDepthOrThatOnlyMeet) {
    Pipes pipes;
    pipes.add("L1", {{0.0, 0.0}, kEast_rad, 18.0});
    pipes.add("beside", {{0.0, 1.0}, kEast_rad, 18.0});
    pipes.add("deeper", {{0.0, 0.0}, kEast_rad, 18.0, 1.4});
    pipes.add("on", {{18.0, 0.0}, kEast_rad, 18.0});
    pipes.add("across", {{9.0, -9.0}, 0.0, 8.0});
    EXPECT_THAT(pipes.shared(), IsEmpty());
}

TEST(SharedLines, AreNoneOfALineDrawnWithoutBounds) {
    Pipes pipes;
    pipes.add("L1", {{0.0, 0.0}, kEast_rad, 18.0});
    pipes.add("L2", {{0.0, 0.0}, kEast_rad, 18.0});
    pipes.lines.runs[1].covariance.resize(0, 0);
    EXPECT_THAT(pipes.shared(), IsEmpty());
}

TEST(SharedLines, WithholdTheSumsOfThePaperAndMarkTheQuantities) {
    Pipes pipes;
    pipes.site.job_unit = LengthUnit::metre;
    pipes.add("L1", {{0.0, 0.0}, kEast_rad, 18.0});
    pipes.add("L2", {{0.0, 5.0}, kEast_rad, 12.0});
    pipes.add("L2 again", {{0.0, 5.02}, kEast_rad, 12.0});
    for (const RecordItem item :
         {RecordItem::total_trench_length, RecordItem::number_of_laterals}) {
        RecordClaim claim;
        claim.item = item;
        claim.value = item == RecordItem::number_of_laterals ? 2.0 : 30.0;
        claim.as_written = "as written";
        pipes.job.records.push_back(claim);
    }
    const Appraisal appraisal = appraise(pipes.job, pipes.site, pipes.lines, pipes.profiles);
    EXPECT_EQ(appraisal.records[0].verdict, RecordVerdict::cannot_tell);
    EXPECT_THAT(appraisal.records[0].words,
                HasSubstr("with both it is 42.0 m, counted once 30.0 m"));
    EXPECT_THAT(appraisal.records[1].words, HasSubstr("with both it is 3, counted once 2"));
    ASSERT_THAT(appraisal.findings, SizeIs(1));
    EXPECT_THAT(appraisal.findings[0].what, HasSubstr("lies on L2"));
    EXPECT_THAT(appraisal.quantities.back().condition, HasSubstr("same pipe as L2"));
    EXPECT_THAT(appraisal.quantities.front().condition, Not(HasSubstr("same pipe")));
}

}  // namespace
}  // namespace sondeline
