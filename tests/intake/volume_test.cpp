#include "intake/volume.hpp"

#include <gtest/gtest.h>

namespace sondeline {
namespace {

constexpr double kGallonM3 = 3.785411784e-3;  // exactly, NIST SP 811

double litres_per_second(std::string_view text, std::string_view bare_unit = "") {
    return 1000.0 * parse_flow_m3_per_s(text, bare_unit, false).value_or(-1.0);
}

TEST(Flow, IsReadAsPeopleWriteIt) {
    const double of_a_house = 450.0 * 1000.0 * kGallonM3 / 86400.0;
    EXPECT_NEAR(litres_per_second("450 gal/day"), of_a_house, 1e-12);
    EXPECT_NEAR(litres_per_second("450 gpd"), of_a_house, 1e-12);
    EXPECT_NEAR(litres_per_second("450 gallons per day"), of_a_house, 1e-12);
    EXPECT_NEAR(litres_per_second("450", "gal/d"), of_a_house, 1e-12);
    EXPECT_NEAR(litres_per_second("8 GPM"), 8.0 * 1000.0 * kGallonM3 / 60.0, 1e-12);
    EXPECT_NEAR(litres_per_second("0.5 L/s"), 0.5, 1e-12);
    EXPECT_NEAR(litres_per_second("1.2 m3/h"), 1200.0 / 3600.0, 1e-12);
}

TEST(Flow, IsNotGuessedFromHalfAUnit) {
    for (const char* text : {"450", "450 gal", "450 /day", "gal/day", "450 gal/week", "", "a/b"}) {
        EXPECT_FALSE(parse_flow_m3_per_s(text, "", false)) << text;
    }
}

TEST(Volume, IsReadInItsUnit) {
    EXPECT_NEAR(*parse_volume_m3("1000 gal", "", false), 1000.0 * kGallonM3, 1e-12);
    EXPECT_NEAR(*parse_volume_m3("3,8 m3", "", true), 3.8, 1e-12);
    EXPECT_FALSE(parse_volume_m3("1000", "", false));
}

TEST(Volume, IsReadWithCommasBetweenThousands) {
    EXPECT_NEAR(*parse_volume_m3("1,000 gal", "", false), 1000.0 * kGallonM3, 1e-12);
    EXPECT_NEAR(*parse_volume_m3("12,500.5 gal", "", false), 12500.5 * kGallonM3, 1e-9);
    EXPECT_NEAR(*parse_volume_m3("1,000,000", "L", false), 1000.0, 1e-9);
    EXPECT_NEAR(litres_per_second("1,500 gpd"), 1500.0 * 1000.0 * kGallonM3 / 86400.0, 1e-12);
}

// "1,5" may be one and a half as some countries write it, and "1,0000" is nothing.
TEST(Volume, IsNotReadFromACommaThatMayBeSomethingElse) {
    for (const char* text : {"1,5 gal", "1,00 gal", "1,0000 gal", ",100 gal", "1000,000 gal",
                             "1,000,00 gal", "1.000,5 gal", "1, gal"}) {
        EXPECT_FALSE(parse_volume_m3(text, "", false)) << text;
    }
    EXPECT_NEAR(*parse_volume_m3("1,000 l", "", true), 1e-3, 1e-15);  // a decimal comma
}

}  // namespace
}  // namespace sondeline
