#include "pipeline/outcome.hpp"

#include <gtest/gtest.h>

namespace sondeline {
namespace {

RunOutcome of(const AlignedRun& run) {
    Lines lines;
    lines.runs = {run};
    Profiles profiles;
    profiles.runs.emplace_back();
    return summarise({}, {}, lines, profiles, {}, {}).runs.at(0);
}

// An empty end is told as a blind one.
TEST(Outcome, CallsAnEndBlindOnlyWhereSomethingTellsIt) {
    AlignedRun run;
    EXPECT_EQ(of(run).to, "");
    run.run.end_told = false;
    EXPECT_EQ(of(run).to, "end not told");
    run.stops_short = true;
    EXPECT_EQ(of(run).to, "stopped");
}

}  // namespace
}  // namespace sondeline
