#include <gtest/gtest.h>

#include "sondeline/terms.hpp"

namespace sondeline {
namespace {

TEST(Where, NamesTheCell) {
    const SourceCell cell{"fixes.csv", 7, "depth"};
    EXPECT_EQ(describe(where_is(cell)), "fixes.csv row 7 column depth");
}

TEST(Where, NamesTheTableAsAWholeWithoutRow) {
    EXPECT_EQ(describe(where_is({"day.ods#runs", 0, ""})), "day.ods#runs");
}

TEST(Where, GivesStationsInTheAskedUnit) {
    Where where;
    where.run = "L1";
    where.station_m = 12.4;
    EXPECT_EQ(describe(where), "run L1 at 12.40 m");
    EXPECT_EQ(describe(where, LengthUnit::foot), "run L1 at 40.68 ft");  // 12.4 / 0.3048
}

TEST(Where, NamesFileAndRunTogether) {
    Where where = where_is({"runs.csv", 2, ""});
    where.run = "L1";
    EXPECT_EQ(describe(where), "runs.csv row 2, run L1");
}

TEST(Where, GivesTimesIntoTheFootageAsPlayersShowThem) {
    Where where;
    where.file = "a.mp4";
    where.time_s = 75.24;
    EXPECT_EQ(describe(where), "a.mp4, at 1:15.2 into the footage");
    where.time_s = 3723.97;
    EXPECT_EQ(describe(where), "a.mp4, at 1:02:04.0 into the footage");
}

TEST(Where, IsEmptyWhenNothingIsKnown) {
    EXPECT_EQ(describe(Where{}), "");
}

TEST(Severity, HasAWord) {
    EXPECT_EQ(word(Severity::info), "info");
    EXPECT_EQ(word(Severity::caution), "caution");
    EXPECT_EQ(word(Severity::problem), "problem");
}

}  // namespace
}  // namespace sondeline
