#include "survey/exchanged_pushes.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "survey/made_reel.hpp"

namespace sondeline {
namespace {

using made::NotedRuns;
using testing::HasSubstr;

struct Pushes : NotedRuns {
    // With a fix every 7 ft, as far as that goes.
    void run_with_fixes(double filmed_to, double fixed_to) {
        run(filmed_to);
        for (double counter = 4.0; counter <= fixed_to; counter += 7.0) {
            Fix fix;
            fix.run = job.runs.back().id;
            fix.counter = Cell<double>{counter, {}};
            job.fixes.push_back(fix);
        }
    }

    Findings told() const {
        Findings findings;
        tell_exchanged_pushes(job, reels(), LengthUnit::foot, findings);
        return findings;
    }
};

TEST(ExchangedPushes, AreNamedWhereTheFixesOfEachGoAsFarAsTheFootageOfTheOther) {
    Pushes day;
    day.run_with_fixes(66.0, 50.0);
    day.run_with_fixes(59.0, 56.0);
    day.run_with_fixes(50.0, 64.0);
    const Findings findings = day.told();
    ASSERT_EQ(findings.size(), 1u);
    EXPECT_EQ(findings[0].severity, Severity::caution);
    EXPECT_EQ(findings[0].where.run, "A");
    EXPECT_THAT(findings[0].what,
                HasSubstr("fixes of C go to 60.0 ft, as far as the footage of A"));
    EXPECT_THAT(findings[0].what, HasSubstr("The length of A would then be that of C"));
}

TEST(ExchangedPushes, AreNoneWhereAClipIsMissingOrFixesStopEarly) {
    Pushes missing;  // of B, whose fixes go on where no other footage ends
    missing.run_with_fixes(66.0, 64.0);
    missing.run_with_fixes(30.0, 60.0);
    EXPECT_TRUE(missing.told().empty());
    Pushes early;  // fixes of A stop early, and B is in order
    early.run_with_fixes(66.0, 40.0);
    early.run_with_fixes(59.0, 56.0);
    EXPECT_TRUE(early.told().empty());
}

}  // namespace
}  // namespace sondeline
