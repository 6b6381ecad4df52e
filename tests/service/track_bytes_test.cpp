#include "service/track_bytes.hpp"

#include <limits>

#include <gtest/gtest.h>

#include "service/made_track.hpp"

namespace sondeline {
namespace {

const std::string some_sha(64, 'a');

TEST(TrackBytes, GiveBackEveryFieldToTheLastBit) {
    const Track track = made_track(some_sha);
    const auto back = track_from_bytes(bytes_from_track(track));
    ASSERT_TRUE(back.has_value());
    EXPECT_EQ(bytes_from_track(*back), bytes_from_track(track));
    EXPECT_EQ(back->clip.name, "lateral.mp4");
    EXPECT_EQ(back->clip.frames, 1234);
    EXPECT_EQ(back->clip.creation_time_s, 1.7e9);
    EXPECT_EQ(back->format->pattern, "0012.4 ft");
    EXPECT_EQ(back->format->unit, CounterUnit::foot);
    EXPECT_TRUE(back->format->point_in_doubt);
    EXPECT_EQ(back->samples[1].reason, "the picture is damaged");
    EXPECT_FALSE(back->samples[1].counter.has_value());
    EXPECT_EQ(back->samples[2].counter, 0.30000000000000004);
    EXPECT_EQ(back->zeroings[0].gap_known, true);
    EXPECT_EQ(back->pull_backs[0].to_counter, 28.0);
    EXPECT_EQ(back->other_fields[0].kind, FieldKind::clock);
    EXPECT_EQ(back->clock->start_s, 36003.5);
    EXPECT_EQ(back->clock->date, "2026-05-14");
    EXPECT_EQ(back->grade->unit, InclinationUnit::percent);
    EXPECT_EQ(back->grade->points[0].inclination, -1.4);
    ASSERT_EQ(back->water->reaches.size(), 2U);
    EXPECT_EQ(back->water->reaches[0].sure_share, 0.12);
    EXPECT_EQ(back->water->reaches[1].to, 12.0);
    EXPECT_FALSE(back->water->reaches[1].sure_share.has_value());
    EXPECT_TRUE(back->water->reaches[1].left_open);
    ASSERT_EQ(back->marks.size(), 2U);
    EXPECT_EQ(back->marks[1].kind, PassingKind::turn);
    EXPECT_EQ(back->marks[0].shown, 2.1);
    EXPECT_EQ(back->marks[1].counter, 4.25);
    EXPECT_FALSE(back->marks[1].shown.has_value());
    ASSERT_TRUE(back->joint_row.has_value());
    EXPECT_EQ(back->joint_row->spacing.value, 1.52);
    EXPECT_EQ(back->joint_row->spaces, 9);
    EXPECT_EQ(back->evidence[0].png, track.evidence[0].png);
    EXPECT_EQ(back->findings[0].where.structure, "box");
    EXPECT_EQ(back->findings[0].consequence, Consequence::input_rejected);
    EXPECT_EQ(back->coverage, 2.0 / 3.0);
}

TEST(TrackBytes, OfATrackWithoutACounterAreLegal) {
    Track track;
    track.clip.name = "blank.mp4";
    const auto back = track_from_bytes(bytes_from_track(track));
    ASSERT_TRUE(back.has_value());
    EXPECT_FALSE(back->format.has_value());
}

TEST(TrackBytes, CutOffAnywhereGiveNothing) {
    const std::string bytes = bytes_from_track(made_track(some_sha));
    for (std::size_t size = 0; size < bytes.size(); ++size) {
        EXPECT_FALSE(track_from_bytes(bytes.substr(0, size)).has_value()) << size;
    }
    EXPECT_FALSE(track_from_bytes(bytes + "x").has_value());
}

TEST(TrackBytes, WithAnyBitTurnedAreReadWithoutHarm) {
    const std::string bytes = bytes_from_track(made_track(some_sha));
    for (std::size_t i = 0; i < bytes.size(); ++i) {
        for (int bit = 0; bit < 8; ++bit) {
            std::string spoiled = bytes;
            spoiled[i] = static_cast<char>(spoiled[i] ^ (1 << bit));
            EXPECT_NE(checksum(spoiled), checksum(bytes));
            if (const auto track = track_from_bytes(spoiled)) {
                EXPECT_LE(track->samples.size(), bytes.size());
            }
        }
    }
}

TEST(TrackBytes, WithAFigureThatIsNoNumberGiveNothing) {
    Track track = made_track(some_sha);
    track.samples[0].counter = std::numeric_limits<double>::quiet_NaN();
    EXPECT_FALSE(track_from_bytes(bytes_from_track(track)).has_value());
    track.samples[0].counter = std::numeric_limits<double>::infinity();
    EXPECT_FALSE(track_from_bytes(bytes_from_track(track)).has_value());
}

// FNV-1a, 64 bit: test vectors published with the algorithm (Fowler, Noll, Vo: draft-eastlake-fnv,
// appendix C), from memory.
TEST(Checksum, IsFnv1a) {
    EXPECT_EQ(checksum(""), 0xCBF29CE484222325ULL);
    EXPECT_EQ(checksum("a"), 0xAF63DC4C8601EC8CULL);
    EXPECT_EQ(checksum("foobar"), 0x85944171F73967E8ULL);
}

}  // namespace
}  // namespace sondeline
