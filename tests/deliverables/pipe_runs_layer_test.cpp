#include <numbers>

#include <gtest/gtest.h>

#include "deliverables/layers.hpp"

namespace sondeline {
namespace {

// The layer of a job in feet with one run.
LayerTable layer_of(const AlignedRun& run, const GradedRun& graded = {}) {
    Job job;
    job.runs.emplace_back().id.text = "L1";
    Site site;
    site.runs.emplace_back().id.text = "L1";
    Lines lines;
    lines.runs.push_back(run);
    lines.runs[0].run.id = site.runs[0].id;
    Profiles profiles;
    profiles.runs.push_back(graded);
    const AsBuilt as_built{job, {}, {}, site, lines, profiles, {}, {}, "0"};
    return pipe_runs_layer(as_built);
}

std::string text_of_run(const AlignedRun& run, const char* column) {
    const LayerTable table = layer_of(run);
    return text_in(table, table.rows.at(0), column);
}

std::string words_of(const std::vector<Bend>& bends) {
    AlignedRun run;
    run.bends = bends;
    return text_of_run(run, "bends");
}

TEST(PipeRunsLayer, SaysWhetherThePushReachedTheEnd) {
    AlignedRun run;
    EXPECT_EQ(text_of_run(run, "reached_end"), "yes");
    run.stops_short = true;
    EXPECT_EQ(text_of_run(run, "reached_end"), "no");
    run.stops_short = false;
    run.run.end_told = false;
    EXPECT_EQ(text_of_run(run, "reached_end"), "not told");
}

// 0.2355 % is 0.24 % everywhere; by way of 0.235 the page gave 0.23.
TEST(PipeRunsLayer, KeepsSlopesFinerThanTheyAreShown) {
    GradedRun graded;
    graded.slope = figure(Estimate{0.002355, 0.0005});
    const LayerTable table = layer_of({}, graded);
    EXPECT_NEAR(number_in(table, table.rows.at(0), "slope_pct").value(), 0.2355, 1e-9);
}

TEST(PipeRunsLayer, SaysOfEveryBendWhereItIsHowFarItTurnsAndWhatStandsForIt) {
    constexpr double degree = std::numbers::pi / 180.0;
    Bend told{.station_m = 3.048, .angle_rad = {45.0 * degree, 2.0 * degree}};
    told.nearest_fitting = "a 45° fitting";
    Bend noted{.station_m = 6.096, .angle_rad = {-22.0 * degree, 2.0 * degree}, .noted = true};
    Bend seen{.station_m = 9.144, .angle_rad = {30.0 * degree, 2.0 * degree}, .seen_turning = true};
    EXPECT_EQ(words_of({told, noted, seen}),
              "at 10.0 ft: 45° ± 4 to the right, nearest: a 45° fitting; "
              "at 20.0 ft: 22° ± 4 to the left, where a fitting was noted; "
              "at 30.0 ft: 30° ± 4 to the right, where the picture turns");
    EXPECT_EQ(words_of({}), "");
}

}  // namespace
}  // namespace sondeline
