#include "pipeline/overlay_unit.hpp"

#include <algorithm>
#include <fstream>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace sondeline {
namespace {

namespace fs = std::filesystem;

// A folder whose only length has no unit: a tank whose ground lies at 100.
Job job_without_unit(const std::string& name) {
    const fs::path folder = fs::path(testing::TempDir()) / name;
    fs::create_directories(folder);
    std::ofstream(folder / "structures.csv") << "id,ground\nT1,100\n";
    return read_job_folder(folder);
}

RunTracks showing(std::initializer_list<CounterUnit> units) {
    RunTracks tracks;
    for (const CounterUnit unit : units) {
        JoinedTrack track;
        track.unit = unit;
        tracks.emplace(RunId{"L" + std::to_string(tracks.size())}, std::move(track));
    }
    return tracks;
}

TEST(OverlayUnit, SettlesLengthsThatWereTypedWithoutOne) {
    const Job job = with_overlay_unit(job_without_unit("feet_on_overlay"),
                                      showing({CounterUnit::unknown, CounterUnit::foot}));
    EXPECT_NEAR(job.structures.at(0).ground_m->value, 30.48, 1e-9);  // 0.3048 m exactly, SP 811
}

TEST(OverlayUnit, ThatIsUnknownLeavesTheJobAsItWas) {
    const Job job =
        with_overlay_unit(job_without_unit("no_unit_on_overlay"), showing({CounterUnit::unknown}));
    EXPECT_EQ(job.structures.at(0).ground_m->value, 100.0);
}

TEST(OverlayUnit, ThatDiffersBetweenRunsIsAProblem) {
    const Job job = with_overlay_unit(job_without_unit("both_units_on_overlay"),
                                      showing({CounterUnit::metre, CounterUnit::feet_and_inches}));
    ASSERT_FALSE(job.findings.empty());
    EXPECT_EQ(job.findings.back().severity, Severity::problem);
    EXPECT_THAT(job.findings.back().what, testing::HasSubstr("some metres"));
}

// The same with the unit of the job said in its table.
Job job_in(const char* unit, const std::string& name, const char* structures) {
    const fs::path folder = fs::path(testing::TempDir()) / name;
    fs::create_directories(folder);
    std::ofstream(folder / "structures.csv") << structures;
    std::ofstream(folder / "job.csv") << "key,value\nlength unit," << unit << "\n";
    return read_job_folder(folder);
}

std::ptrdiff_t told_of_pictures(const Job& job) {
    return std::ranges::count_if(job.findings, [](const Finding& finding) {
        return finding.severity != Severity::info &&
               finding.what.find("every picture that shows a unit counts in") != std::string::npos;
    });
}

TEST(OverlayUnit, OfTheOtherKindThanTheTableSaysIsToldAndHeightsWaitForTheirOwn) {
    const char* bare = "id,ground\nT1,100\n";
    const Job metres =
        with_overlay_unit(job_in("m", "table_in_metres", bare),
                          showing({CounterUnit::feet_and_inches, CounterUnit::unknown}));
    EXPECT_EQ(told_of_pictures(metres), 1);
    EXPECT_FALSE(metres.structures.at(0).ground_m.has_value());
    const Job feet =
        with_overlay_unit(job_in("ft", "table_in_feet", bare), showing({CounterUnit::metre}));
    EXPECT_EQ(told_of_pictures(feet), 1);
    EXPECT_FALSE(feet.structures.at(0).ground_m.has_value());
}

TEST(OverlayUnit, OfTheOtherKindLeavesHeightsThatHaveTheirOwn) {
    const Job job = with_overlay_unit(
        job_in("m", "heights_with_units", "id,ground,capacity\nT1,100 ft,\nT2,30,\n"),
        showing({CounterUnit::foot}));
    EXPECT_NEAR(job.structures.at(0).ground_m->value, 30.48, 1e-9);
    EXPECT_FALSE(job.structures.at(1).ground_m.has_value());
    EXPECT_EQ(told_of_pictures(job), 1);
}

TEST(OverlayUnit, IsNotToldWhereAPictureAgreesNoneShowsItOrEveryLengthHasItsOwn) {
    const char* bare = "id,ground\nT1,100\n";
    const auto told = [&](const char* unit, const char* structures,
                          std::initializer_list<CounterUnit> shown) {
        return told_of_pictures(
            with_overlay_unit(job_in(unit, "table_and_overlay", structures), showing(shown)));
    };
    EXPECT_EQ(told("m", bare, {CounterUnit::foot, CounterUnit::metre}), 0);
    EXPECT_EQ(told("m", bare, {CounterUnit::unknown}), 0);
    EXPECT_EQ(told("us-ft", bare, {CounterUnit::foot, CounterUnit::feet_and_inches}), 0);
    EXPECT_EQ(told("m", "id,ground (ft)\nT1,100\n", {CounterUnit::foot}), 0);
    EXPECT_EQ(told("m", "id,ground (ft)\nT1,100\n", {CounterUnit::unknown}), 0);
}

}  // namespace
}  // namespace sondeline
