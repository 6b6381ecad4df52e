#include "pipeline/overlay_unit.hpp"

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

}  // namespace
}  // namespace sondeline
