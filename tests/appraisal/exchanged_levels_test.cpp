#include "appraisal/exchanged_levels.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace sondeline {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;

// House, tank and box, each run 10 m long and taped 0.6 m deep at both ends, so that it falls as
// the ground does.
struct LevelledJob {
    Job job;
    Site site;
    Lines lines;
    Profiles profiles;

    LevelledJob(double house_m, double tank_m, double box_m) {
        point("house", house_m);
        point("tank", tank_m);
        point("box", box_m);
        run("BS", RunKind::building_sewer, 0, 1);
        run("EL", RunKind::effluent_line, 1, 2);
    }

    void point(const char* id, double ground_m) {
        SiteStructure structure;
        structure.id.text = id;
        structure.ground_m = Estimate{ground_m, 0.002};
        structure.ground_source = "levelled";
        site.structures.push_back(structure);
        job.levels.push_back({"1", id, std::nullopt, 102.0 - ground_m, std::nullopt, {}});
    }

    void run(const char* id, RunKind kind, int from, int to) {
        AlignedRun aligned;
        aligned.run.id.text = id;
        aligned.run.kind = kind;
        aligned.run.from = from;
        aligned.run.to = to;
        aligned.length_m = figure(Bounded{10.0, 9.9, 10.1});
        lines.runs.push_back(aligned);
        GradedRun graded;
        graded.id.text = id;
        graded.fall_m =
            figure(Estimate{site.structures[static_cast<std::size_t>(from)].ground_m->value -
                                site.structures[static_cast<std::size_t>(to)].ground_m->value,
                            0.01});
        profiles.runs.push_back(graded);
    }

    Findings told() const {
        Findings findings;
        tell_exchanged_levels(job, site, lines, profiles, findings);
        return findings;
    }
};

TEST(ExchangedLevels, NamesTheTwoReadingsThatMakeARunFallTheWrongWay) {
    // True heights 100.0, 99.7, 99.4; tank and box were written down for each other.
    const Findings told = LevelledJob(100.0, 99.4, 99.7).told();
    ASSERT_EQ(told.size(), 1U);
    EXPECT_EQ(told[0].where.file, "levels");
    EXPECT_EQ(told[0].where.run, "EL");
    EXPECT_THAT(told[0].what, HasSubstr("readings on tank and box were written down"));
}

TEST(ExchangedLevels, SaysNothingWhereAllRunsFall) {
    EXPECT_THAT(LevelledJob(100.0, 99.7, 99.4).told(), IsEmpty());
}

TEST(ExchangedLevels, DoesNotBlameReadingsThatWereTakenTwiceOrFromTwoSetups) {
    LevelledJob twice(100.0, 99.4, 99.7);
    twice.job.levels.push_back({"2", "box", std::nullopt, 1.9, std::nullopt, {}});
    EXPECT_THAT(twice.told(), IsEmpty());
    LevelledJob apart(100.0, 99.4, 99.7);
    apart.job.levels[2].setup = "2";
    EXPECT_THAT(apart.told(), IsEmpty());
}

TEST(ExchangedLevels, DoesNotBlameReadingsThatTheGroundAlongARunConfirms) {
    LevelledJob along(100.0, 99.4, 99.7);
    StationedVertical seen;
    seen.row.fix = 0;
    seen.row.ground_m = Estimate{99.5, 0.002};
    along.lines.runs[1].vertical.push_back(seen);
    EXPECT_THAT(along.told(), IsEmpty());
}

TEST(ExchangedLevels, DoesNotBlameAnExchangeThatWouldTurnAnotherRunAround) {
    // With tank and box exchanged the sewer would rise: nothing simple explains this.
    EXPECT_THAT(LevelledJob(99.5, 99.4, 99.7).told(), IsEmpty());
}

}  // namespace
}  // namespace sondeline
