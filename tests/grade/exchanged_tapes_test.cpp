#include "grade/exchanged_tapes.hpp"

#include <cmath>
#include <utility>

#include <gtest/gtest.h>

#include "grade/made_run.hpp"

namespace sondeline {
namespace {

// Under ground that falls 1 % (made_run.cpp), over 24 m.
made::Pipe falling(double slope) {
    made::Pipe pipe;
    pipe.slope = slope;
    return pipe;
}

void exchange(Estimate& first, Estimate& second) {
    std::swap(first.value, second.value);
}

void exchange_ends(made::Run& run) {
    auto& rows = made::run_of(run.lines).vertical;
    exchange(rows.front().row.depth_m, rows.back().row.depth_m);
}

bool named(const Profiles& profiles) {
    return made::any_finding(profiles, "look exchanged");
}

struct Told {
    int named = 0;
    int slopes = 0;
    int slopes_missed = 0;
    int points = 0;
    int points_missed = 0;

    void add(const Profiles& profiles, const made::Pipe& pipe) {
        const GradedRun& graded = profiles.runs.front();
        named += sondeline::named(profiles) ? 1 : 0;
        slopes += graded.slope ? 1 : 0;
        if (graded.slope && pipe.slope_change == 0.0) {
            slopes_missed +=
                std::abs(graded.slope->value - pipe.slope) > 1.96 * graded.slope->sd ? 1 : 0;
        }
        for (const ProfilePoint& point : graded.profile) {
            const double truth = made::invert_m(pipe, point.station_m);
            ++points;
            points_missed += point.z_m.lo95 <= truth && truth <= point.z_m.hi95 ? 0 : 1;
        }
    }
};

TEST(ExchangedTapes, AreToldByTheDepthsAlongTheRunAndTheBoundsHoldTheTruth) {
    Told told;
    for (int seed = 0; seed < 20; ++seed) {
        // 19 cm between the two readings; exchanged, the run still falls the right way.
        made::Run run = made::make_run(falling(0.018), made::locator_and_tapes(), seed);
        exchange_ends(run);
        told.add(grade_lines(run.lines, made::levelled()), run.pipe);
    }
    EXPECT_GE(told.named, 19);  // of 20
    EXPECT_GE(told.slopes, 19);
    EXPECT_LE(told.slopes_missed, 2);
    EXPECT_LE(told.points_missed, told.points / 15);
}

TEST(ExchangedTapes, AreToldWhereARunThenFallsTheWrongWayThoughFewDepthsTell) {
    Told told;
    for (int seed = 0; seed < 20; ++seed) {
        made::Run run = made::make_run(falling(0.03), made::locator_and_tapes(8.0), seed);
        exchange_ends(run);
        const Profiles profiles = grade_lines(run.lines, made::levelled());
        EXPECT_TRUE(made::any_finding(profiles, "As written that is the wrong way")) << seed;
        EXPECT_FALSE(made::any_finding(profiles, "This run falls the wrong way")) << seed;
        told.add(profiles, run.pipe);
    }
    EXPECT_LE(told.slopes_missed, 1);
    EXPECT_LE(told.points_missed, told.points / 20);
}

TEST(ExchangedTapes, AreNotSeenInRunsThatWereTapedRight) {
    int told = 0;
    int runs = 0;
    for (const double slope : {0.005, 0.0125, 0.02, 0.03}) {
        for (int seed = 0; seed < 30; ++seed, ++runs) {
            const made::Run run =
                made::make_run(falling(slope), made::locator_and_tapes(4.0), seed);
            told += named(grade_lines(run.lines, made::levelled())) ? 1 : 0;
        }
    }
    EXPECT_LE(told, runs * 23 / 1000 + 1);  // the bound that the header derives
}

TEST(ExchangedTapes, AreNotSeenWhereOneTapeIsWrongAndNoExchangeMakesItFit) {
    int told = 0;
    for (int seed = 0; seed < 20; ++seed) {
        made::Run run = made::make_run(falling(0.0125), made::locator_and_tapes(), seed);
        made::run_of(run.lines).vertical.front().row.depth_m.value += 0.6;
        told += named(grade_lines(run.lines, made::levelled())) ? 1 : 0;
    }
    EXPECT_LE(told, 1);
}

TEST(ExchangedTapes, AreNotSeenInAPipeThatReallyFallsTheWrongWay) {
    for (int seed = 0; seed < 20; ++seed) {
        const made::Run run = made::make_run(falling(-0.01), made::locator_and_tapes(), seed);
        const Profiles profiles = grade_lines(run.lines, made::levelled());
        EXPECT_FALSE(named(profiles)) << seed;
        EXPECT_TRUE(made::any_finding(profiles, "This run falls the wrong way")) << seed;
    }
}

TEST(ExchangedTapes, AreNotSeenInAPipeThatBreaksItsGradeNearOneEnd) {
    made::Pipe broken = falling(0.0125);
    broken.break_at_m = 18.0;
    broken.slope_change = 0.04;
    int told = 0;
    for (int seed = 0; seed < 20; ++seed) {
        const made::Run run = made::make_run(broken, made::locator_and_tapes(), seed);
        told += named(grade_lines(run.lines, made::levelled())) ? 1 : 0;
    }
    EXPECT_LE(told, 1);
}

// A sewer into a tank and a line out of it, which leaves `drop_m` lower than the sewer comes in.
made::Run through_a_tank(int seed, double drop_m) {
    made::Run run = made::make_run({}, made::locator_and_tapes(), seed);
    made::Pipe after;
    after.start_invert_m = made::invert_m(run.pipe, run.pipe.length_m) - drop_m +
                           made::ground_m(0.0) - made::ground_m(run.pipe.length_m);
    made::Run second = made::make_run(after, made::locator_and_tapes(), seed + 100);
    AlignedRun& out = made::run_of(second.lines);
    out.run.id = {"out"};
    out.run.kind = RunKind::effluent_line;
    out.run.from = 1;
    out.run.to = 2;
    run.lines.runs.push_back(out);
    AlignedStructure box;
    box.id = {"box"};
    box.kind = StructureKind::distribution_box;
    run.lines.structures.push_back(box);
    return run;
}

// As the inlet and the outlet of a tank are often surveyed: two points, each with its own ground.
TEST(ExchangedTapes, AreToldOfInletAndOutletOfOneTank) {
    int told = 0;
    for (int seed = 0; seed < 10; ++seed) {
        made::Run run = through_a_tank(seed, 0.1);
        AlignedStructure outlet = run.lines.structures[1];
        outlet.id = {"outlet"};
        run.lines.structures[1].plan = PlanFix{{0.0, 0.0}, {}};
        outlet.plan = PlanFix{{0.0, 2.5}, {}};
        run.lines.structures.push_back(outlet);
        run.lines.runs[1].run.from = 3;
        // The second run of through_a_tank counts its ground from 100 m again.
        for (StationedVertical& seen : run.lines.runs[1].vertical) {
            seen.row.ground_m->value += made::ground_m(24.0) - made::ground_m(0.0);
        }
        EXPECT_FALSE(named(grade_lines(run.lines, made::levelled()))) << seed;
        exchange(run.lines.runs[0].vertical.back().row.depth_m,
                 run.lines.runs[1].vertical.front().row.depth_m);
        const Profiles profiles = grade_lines(run.lines, made::levelled());
        told += made::any_finding(profiles, "As written out leaves") ? 1 : 0;
    }
    EXPECT_GE(told, 9);  // of 10: now and then chance puts a tape 2.5 sd off the grade
}

TEST(ExchangedTapes, AreToldOfTwoPipesThatMeetInOneStructure) {
    int told = 0;
    int slopes = 0;
    int missed = 0;
    for (int seed = 0; seed < 20; ++seed) {
        made::Run run = through_a_tank(seed, 0.1);
        EXPECT_FALSE(named(grade_lines(run.lines, made::levelled()))) << seed;
        exchange(run.lines.runs[0].vertical.back().row.depth_m,
                 run.lines.runs[1].vertical.front().row.depth_m);
        const Profiles profiles = grade_lines(run.lines, made::levelled());
        told += made::any_finding(profiles, "As written out leaves") ? 1 : 0;
        for (const GradedRun& graded : profiles.runs) {
            ASSERT_TRUE(graded.slope) << seed;
            ++slopes;
            const double off = std::abs(graded.slope->value - run.pipe.slope);
            missed += off > 1.96 * graded.slope->sd ? 1 : 0;
        }
    }
    EXPECT_GE(told, 18);  // of 20
    EXPECT_LE(missed, slopes * 15 / 100);
}

}  // namespace
}  // namespace sondeline
