#include "grade/exchanged_heights.hpp"

#include <cmath>
#include <utility>

#include <gtest/gtest.h>

#include "grade/made_run.hpp"

namespace sondeline {
namespace {

// A house, both sides of its tank and a box, and the two pipes between them, each with ground that
// falls 1 % (made_run.cpp), read from one setup of the level.
struct MadeSite {
    made::Run sewer;
    made::Run effluent;
    Lines lines;
    GradeOptions options = made::levelled();

    MadeSite(const made::Survey& survey, int seed, double slope = 0.02)
        : sewer(made::make_run(pipe(14.0, 99.4, slope), survey, seed)),
          effluent(made::make_run(pipe(20.0, 98.9, slope), survey, seed + 1000)) {
        using enum StructureKind;
        for (const StructureKind kind : {building, tank, tank, distribution_box}) {
            AlignedStructure structure;
            structure.kind = kind;
            structure.id.text = std::to_string(lines.structures.size());
            lines.structures.push_back(structure);
            options.read_once.push_back({static_cast<int>(options.read_once.size()), "1"});
        }
        AlignedRun& out = made::run_of(effluent.lines);
        out.run.kind = RunKind::effluent_line;
        out.run.from = 2;
        out.run.to = 3;
        lines.runs = {made::run_of(sewer.lines), out};
    }

    static made::Pipe pipe(double length_m, double start_m, double slope) {
        made::Pipe pipe;
        pipe.length_m = length_m;
        pipe.start_invert_m = start_m;
        pipe.slope = slope;
        pipe.bedding_sd_m = 0.003;
        return pipe;
    }

    Estimate& ground(int structure) {
        AlignedRun& run = lines.runs[structure < 2 ? 0 : 1];
        StationedVertical& tape = structure % 2 == 0 ? run.vertical.front() : run.vertical.back();
        return *tape.row.ground_m;
    }
    void exchange(int one, int other) { std::swap(ground(one).value, ground(other).value); }

    Profiles graded() const { return grade_lines(lines, options); }
};

bool named(const Profiles& profiles) {
    return made::any_finding(profiles, "look written down for each other");
}

bool held(const Profiles& profiles, std::size_t run, const made::Run& truth) {
    const Figure<Estimate>& slope = profiles.runs[run].slope;
    return !slope || std::abs(slope->value - made::bedded_slope(truth)) <= 1.96 * slope->sd;
}

// Read with the level at every fix besides, as it is where somebody walked the pipe with the rod.
TEST(ExchangedHeights, AreToldByTheDepthsAlongTheRunAndTheBoundsHoldTheTruth) {
    int told = 0;
    int held_slopes = 0;
    for (int seed = 0; seed < 40; ++seed) {
        // 14 cm between house and tank: as written the sewer is level, exchanged it falls 2 %.
        MadeSite site(made::locator_and_tapes(), seed);
        site.exchange(0, 1);
        const Profiles profiles = site.graded();
        told += made::any_finding(profiles, "The rod readings on 0 and 1 look written") ? 1 : 0;
        held_slopes += held(profiles, 0, site.sewer) ? 1 : 0;
    }
    EXPECT_GE(told, 36);         // of 40; 37 when written
    EXPECT_GE(held_slopes, 33);  // 34
}

TEST(ExchangedHeights, AreDoubtedWithNothingButTheEndsWhereTheRunWouldRise) {
    made::Survey ends = made::locator_and_tapes(0.0);
    MadeSite site(ends, 1, 0.01);
    site.exchange(2, 3);
    const Profiles profiles = site.graded();
    ASSERT_TRUE(named(profiles));
    EXPECT_TRUE(made::any_finding(profiles, "As written R1001 falls the wrong way."));
    EXPECT_TRUE(held(profiles, 1, site.effluent));
    EXPECT_EQ(profiles.heights_not_used.exchanged, (std::vector<int>{2, 3}));
    EXPECT_FALSE(made::any_finding(profiles, "This run falls the wrong way"));
    EXPECT_FALSE(made::any_finding(profiles, "A belly is suspected"));
}

// Depths without ground of their own hang from the doubted heights and cannot speak against them.
TEST(ExchangedHeights, AreDoubtedWhereTheDepthsHangFromTheGroundAtTheEnds) {
    for (int seed = 0; seed < 5; ++seed) {
        MadeSite site(made::locator_and_tapes(3.0), seed, 0.01);
        for (StationedVertical& seen : site.lines.runs[1].vertical) {
            if (seen.row.fix >= 0) seen.row.ground_m.reset();
        }
        site.exchange(2, 3);
        const Profiles profiles = site.graded();
        EXPECT_TRUE(named(profiles)) << seed;
        EXPECT_TRUE(held(profiles, 1, site.effluent)) << seed;
        EXPECT_FALSE(made::any_finding(profiles, "A belly is suspected")) << seed;
        const Figure<Estimate>& slope = profiles.runs[1].slope;
        ASSERT_FALSE(slope) << seed;
        EXPECT_EQ(slope.withheld.what_to_do.find("Compare the rod readings"), 0U) << seed;
    }
}

TEST(ExchangedHeights, AreSeldomSeenWhereEveryReadingIsRight) {
    int told = 0;
    constexpr int sites = 60;
    for (int seed = 0; seed < sites; ++seed) {
        made::Survey survey = made::locator_and_tapes(seed % 2 == 0 ? 1.5 : 4.0);
        survey.constant_sd_m = 0.03;
        survey.proportion_sd = 0.03;
        told += named(MadeSite(survey, seed, 0.01 + 0.0005 * (seed % 20)).graded()) ? 1 : 0;
    }
    EXPECT_LE(told, 1);  // of 60
}

TEST(ExchangedHeights, AreNotBlamedForReadingsTakenTwiceOrFromTwoSetups) {
    MadeSite site(made::locator_and_tapes(0.0), 1, 0.01);
    site.exchange(2, 3);
    MadeSite twice = site;
    twice.options.read_once.pop_back();
    EXPECT_FALSE(named(twice.graded()));
    MadeSite apart = site;
    apart.options.read_once[3].setup = "2";
    EXPECT_FALSE(named(apart.graded()));
}

TEST(ExchangedHeights, AreNotBlamedWhereTheExchangeWouldTurnAnotherRunAround) {
    MadeSite site(made::locator_and_tapes(0.0), 1, 0.01);
    // Inlet of the tank and box: the effluent line would fall, but the sewer would rise.
    site.ground(3).value += 0.6;
    ASSERT_TRUE(named(site.graded()));
    site.options.read_once = {{1, "1"}, {3, "1"}};
    EXPECT_FALSE(named(site.graded()));
}

TEST(ExchangedHeights, AreNotBlamedForAPipeThatAPumpLifts) {
    MadeSite site(made::locator_and_tapes(0.0), 1, 0.01);
    site.exchange(2, 3);
    site.lines.structures[2].kind = StructureKind::pump_chamber;
    EXPECT_FALSE(named(site.graded()));
}

TEST(ExchangedHeights, AreNotBlamedForOneHeightThatIsSimplyWrong) {
    int told = 0;
    for (int seed = 0; seed < 20; ++seed) {
        MadeSite site(made::locator_and_tapes(), seed);
        site.ground(1).value += 0.3048;
        told += named(site.graded()) ? 1 : 0;
    }
    EXPECT_LE(told, 1);  // of 20
}

}  // namespace
}  // namespace sondeline
