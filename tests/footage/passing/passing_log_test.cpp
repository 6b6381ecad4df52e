#include "footage/passing/passing_log.hpp"

#include <cmath>

#include <gmock/gmock.h>

namespace sondeline {
namespace {

using testing::HasSubstr;

// A push of 8 m at 0.25 m/s past an even wall, by a counter that began at `counter_at_start`.
struct Push {
    Track track;
    std::vector<WaterLook> looks;

    explicit Push(double counter_at_start, double passing = 1.0) {
        track.clip.name = "a.mp4";
        track.format = CounterFormat{};
        track.format->unit = CounterUnit::metre;
        track.format->decimals = 1;
        for (int i = 0; i < 320; ++i) {
            const double time_s = 0.1 * i;
            track.samples.push_back(
                {time_s, counter_at_start + 0.025 * i, 1.0, CounterState::push, ""});
            if (i % 3 != 0) continue;
            WaterLook look;
            look.time_s = time_s;
            look.pipe = look.held = true;
            look.light = 90.0F;
            look.vanishing = cv::Point2d(0.6 + 0.01 * std::sin(0.3 * i), 0.5);
            FlowLook flow;
            flow.later_s = time_s + 0.2;
            flow.moved = passing * 1.5;
            look.flows.push_back(flow);
            looks.push_back(look);
        }
    }

    std::vector<PassingKind> kinds() {
        keep_marks(looks, track);
        std::vector<PassingKind> kinds;
        for (const PassingMark& mark : track.marks) kinds.push_back(mark.kind);
        return kinds;
    }

    // From 4 m on.
    void darken() {
        for (WaterLook& look : looks) look.light = look.time_s < 16.0 ? 90.0F : 40.0F;
    }
    void leap(double at_s) {
        for (WaterLook& look : looks) look.vanishing->x += look.time_s < at_s ? 0.0 : 0.2;
    }
};

TEST(KeptMarks, AreNoneOnAnEvenWall) {
    EXPECT_TRUE(Push(0.0).kinds().empty());
}

TEST(KeptMarks, GiveThePlaceAndWhatTheCounterShowedThere) {
    Push push(3.0);
    push.leap(12.0);
    EXPECT_THAT(push.kinds(), testing::ElementsAre(PassingKind::turn));
    const PassingMark& mark = push.track.marks.front();
    ASSERT_TRUE(mark.shown);
    EXPECT_NEAR(*mark.shown, 6.0, 0.06);
    ASSERT_EQ(push.track.findings.size(), 1U);
    EXPECT_THAT(push.track.findings[0].what, HasSubstr("turns suddenly near counter 6.0"));
    EXPECT_NEAR(*push.track.findings[0].where.time_s, 12.0, 0.2);
}

TEST(KeptMarks, DoNotTakeADarkerWallThatComesIntoViewForATurn) {
    Push push(0.0);
    push.darken();
    push.leap(14.0);
    EXPECT_THAT(push.kinds(), testing::ElementsAre(PassingKind::light));
    Push elsewhere(0.0);
    elsewhere.darken();
    elsewhere.leap(7.0);
    EXPECT_THAT(elsewhere.kinds(), testing::ElementsAre(PassingKind::turn, PassingKind::light));
}

TEST(KeptMarks, AreNoneWhereThePictureDoesNotPassAsTheCounterSays) {
    Push push(0.0, -1.0);
    push.leap(12.0);
    EXPECT_TRUE(push.kinds().empty());
}

TEST(KeptMarks, AreNoneWithoutACounter) {
    Push push(0.0);
    push.leap(12.0);
    push.track.format.reset();
    EXPECT_TRUE(push.kinds().empty());
}

}  // namespace
}  // namespace sondeline
