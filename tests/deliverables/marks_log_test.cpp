#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "sondeline/deliverables.hpp"

namespace sondeline {
namespace {

using ::testing::EndsWith;
using ::testing::HasSubstr;
using ::testing::Not;

Track with_marks() {
    Track track;
    track.clip.name = "house, side.mp4";
    track.marks = {{PassingKind::ring, 2.5, 8.0, 2.1}, {PassingKind::turn, 4.25, 15.5, {}}};
    return track;
}

std::string csv_of(const Track& track) {
    return marks_csv(std::span(&track, 1));
}

TEST(MarksFile, HasARowForEachPlaceToLookAt) {
    EXPECT_THAT(csv_of(with_marks()), EndsWith("clip,time_s,counter,place,what\n"
                                               "\"house, side.mp4\",8.000,2.10,2.50,dark ring\n"
                                               "\"house, side.mp4\",15.500,,4.25,sudden turn\n"));
}

TEST(MarksFile, SaysHowFarTheRingsAreApartOnlyWhereThatIsKnown) {
    Track track = with_marks();
    EXPECT_THAT(csv_of(track), Not(HasSubstr("rings every")));
    track.joint_row = JointRow{{1.52, 0.01}, 2.5, 17.7, 9};
    EXPECT_THAT(csv_of(track), HasSubstr("dark rings every 1.520 by the counter (one standard "
                                         "deviation 0.010), 9 spaces between 2.50 and 17.70"));
}

TEST(MarksFile, IsNotWrittenWithoutAMark) {
    EXPECT_EQ(csv_of(Track{}), "");
}

}  // namespace
}  // namespace sondeline
