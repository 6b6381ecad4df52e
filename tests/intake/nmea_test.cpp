#include "intake/nmea.hpp"

#include <string>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace sondeline {
namespace {

using ::testing::IsEmpty;
using ::testing::SizeIs;

// Example sentences that many manuals of receivers print, with their check sums (from memory).
constexpr const char* kPosition =
    "$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47\r\n";
constexpr const char* kDate =
    "$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A\r\n";
constexpr int kDay = 8847;  // 23 March 1994, days since 1970

std::string sentence(const std::string& body) {
    unsigned sum = 0;
    for (const char c : body) sum ^= static_cast<unsigned char>(c);
    return fmt::format("${}*{:02X}\n", body, sum);
}

std::string position_at(const char* time, int quality, const char* hdop = "1.0") {
    return sentence(fmt::format("GNGGA,{},4000.0000,N,09230.0000,W,{},12,{},200.0,M,-30.0,M,,",
                                time, quality, hdop));
}

NmeaLog read(const std::string& text, std::optional<int> date_days = std::nullopt) {
    return read_nmea(text, date_days, 1000);
}

TEST(Nmea, ReadsTheExampleOfTheManuals) {
    const NmeaLog log = read(std::string(kDate) + kPosition);
    ASSERT_THAT(log.positions, SizeIs(1));
    EXPECT_NEAR(log.positions[0].lat_deg, 48.0 + 7.038 / 60.0, 1e-12);
    EXPECT_NEAR(log.positions[0].lon_deg, 11.0 + 31.0 / 60.0, 1e-12);
    EXPECT_EQ(log.positions[0].clock_s, kDay * 86400.0 + 12 * 3600 + 35 * 60 + 19);
    EXPECT_EQ(log.positions[0].row, 2);
    EXPECT_EQ(log.damaged, 0);
}

TEST(Nmea, GivesPositionsBeforeTheFirstDateThatDay) {
    const NmeaLog log = read(std::string(kPosition) + kDate);
    ASSERT_THAT(log.positions, SizeIs(1));
    EXPECT_EQ(log.positions[0].clock_s, kDay * 86400.0 + 12 * 3600 + 35 * 60 + 19);
}

TEST(Nmea, TakesTheDayOfTheJobWhereTheLogHasNone) {
    EXPECT_EQ(read(kPosition, 100).positions.at(0).clock_s,
              100 * 86400.0 + 12 * 3600 + 35 * 60 + 19);
    const NmeaLog undated = read(kPosition);
    EXPECT_TRUE(undated.undated);
    EXPECT_THAT(undated.positions, IsEmpty());
}

TEST(Nmea, GoesOnPastMidnight) {
    const NmeaLog log = read(position_at("235959.50", 4) + position_at("000000.50", 4), 100);
    ASSERT_THAT(log.positions, SizeIs(2));
    EXPECT_NEAR(log.positions[1].clock_s - log.positions[0].clock_s, 1.0, 1e-6);
    const NmeaLog dated =
        read(sentence("GNZDA,235959.00,30,06,2026,00,00") + position_at("235959.50", 4) +
             position_at("000000.50", 4) + sentence("GNZDA,000001.00,01,07,2026,00,00") +
             position_at("000001.50", 4));
    ASSERT_THAT(dated.positions, SizeIs(3));
    EXPECT_NEAR(dated.positions[2].clock_s - dated.positions[0].clock_s, 2.0, 1e-6);
}

TEST(Nmea, WeighsByTheKindOfSolution) {
    const NmeaLog log = read(position_at("100000", 1) + position_at("100001", 2) +
                                 position_at("100002", 5) + position_at("100003", 4),
                             100);
    ASSERT_THAT(log.positions, SizeIs(4));
    for (std::size_t i = 1; i < 4; ++i) {
        EXPECT_LT(log.positions[i].sd_m, 0.6 * log.positions[i - 1].sd_m) << i;
    }
}

// Fields of GST: time, rms, major, minor, orientation, sd of latitude, of longitude, of height.
TEST(Nmea, PrefersTheDeviationsThatTheReceiverStates) {
    const NmeaLog log = read(position_at("172814.00", 4) +
                                 "$GPGST,172814.0,0.006,0.023,0.020,273.6,0.023,0.020,0.031*6A\n" +
                                 position_at("172815.00", 4),
                             100);
    ASSERT_THAT(log.positions, SizeIs(2));
    EXPECT_NEAR(log.positions[0].sd_m, std::sqrt((0.023 * 0.023 + 0.020 * 0.020) / 2.0), 1e-12);
    EXPECT_NE(log.positions[1].sd_m, log.positions[0].sd_m);
}

TEST(Nmea, LeavesOutWhatIsNotMeasured) {
    const NmeaLog log =
        read(position_at("100000", 0) + position_at("100001", 6) + position_at("100002", 8) +
                 position_at("250000", 4) + sentence("GNGGA,100003,,,,,0,,,,,,,,") +
                 sentence("GNGGA,100004,4060.0,N,09230.0,W,4,12,1.0,,,,,,"),
             100);
    EXPECT_THAT(log.positions, IsEmpty());
    EXPECT_EQ(log.without_fix, 6);
}

TEST(Nmea, LeavesOutDamagedSentences) {
    std::string damaged = kPosition;
    damaged[20] = '9';
    const NmeaLog log = read(damaged + "$GPGGA,1235\n$\n\xFF\xFE,*\n$*00\n" + kPosition, 100);
    EXPECT_THAT(log.positions, SizeIs(1));
    EXPECT_GE(log.damaged, 2);
}

TEST(Nmea, IsBounded) {
    std::string text;
    for (int i = 0; i < 50; ++i) text += kPosition;
    EXPECT_THAT(read_nmea(text, 1, 7).positions, SizeIs(7));
}

}  // namespace
}  // namespace sondeline
