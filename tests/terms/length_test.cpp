#include <string>

#include <gmock/gmock.h>

#include "sondeline/terms.hpp"

namespace sondeline {
namespace {

using testing::DoubleNear;
using testing::Eq;
using testing::Optional;

constexpr double kFoot = 0.3048;

auto Metres(double m) {
    return Optional(DoubleNear(m, 1e-12));
}

// NIST SP 811 (2008), appendix B.6 and B.8: foot 3.048 E-01 exactly, US survey foot 1200/3937 m =
// 3.048 006 E-01 m, inch 2.54 E-02 exactly, yard 9.144 E-01 exactly.
TEST(Units, AgreeWithThePublishedFactors) {
    EXPECT_EQ(metres_per(LengthUnit::metre), 1.0);
    EXPECT_EQ(metres_per(LengthUnit::foot), 0.3048);
    EXPECT_NEAR(metres_per(LengthUnit::us_survey_foot), 0.304800609601, 1e-12);
    EXPECT_THAT(parse_unit_in_metres("in"), Metres(0.0254));
    EXPECT_THAT(parse_unit_in_metres("yd"), Metres(0.9144));
    EXPECT_THAT(parse_unit_in_metres("cm"), Metres(0.01));
    EXPECT_THAT(parse_unit_in_metres("mm"), Metres(0.001));
}

// At 2,000,000 ft the two feet differ by 4.000 ft (check computation from 1200/3937 and 0.3048).
TEST(Units, KeepTheTwoFeetApart) {
    const double apart_m =
        2'000'000.0 * (metres_per(LengthUnit::us_survey_foot) - metres_per(LengthUnit::foot));
    EXPECT_NEAR(apart_m / kFoot, 4.000, 0.0005);
}

TEST(Units, AreReadWithoutRegardToCaseStopsAndBlanks) {
    EXPECT_THAT(parse_length_unit(" FT. "), Optional(LengthUnit::foot));
    EXPECT_THAT(parse_length_unit("Feet"), Optional(LengthUnit::foot));
    EXPECT_THAT(parse_length_unit("'"), Optional(LengthUnit::foot));
    EXPECT_THAT(parse_length_unit("Metres"), Optional(LengthUnit::metre));
    EXPECT_THAT(parse_length_unit("meter"), Optional(LengthUnit::metre));
    EXPECT_THAT(parse_length_unit("US-ft"), Optional(LengthUnit::us_survey_foot));
    EXPECT_THAT(parse_length_unit("us survey feet"), Optional(LengthUnit::us_survey_foot));
}

TEST(Units, OfAJobAreNeitherInchesNorFathoms) {
    EXPECT_THAT(parse_length_unit("in"), Eq(std::nullopt));
    EXPECT_THAT(parse_length_unit("fathom"), Eq(std::nullopt));
    EXPECT_THAT(parse_length_unit(""), Eq(std::nullopt));
}

TEST(Units, AreReadBackFromTheirSymbols) {
    for (const LengthUnit unit :
         {LengthUnit::metre, LengthUnit::foot, LengthUnit::us_survey_foot}) {
        EXPECT_THAT(parse_length_unit(unit_symbol(unit)), Optional(unit));
    }
}

TEST(Length, TakesTheColumnsUnitWhenTheCellHasNone) {
    EXPECT_THAT(parse_length_m("12.4", 1.0), Metres(12.4));
    EXPECT_THAT(parse_length_m("30", 0.0254), Metres(0.762));
    EXPECT_THAT(parse_length_m(" .5 ", kFoot), Metres(0.1524));
}

TEST(Length, TakesTheCellsUnitBeforeTheColumns) {
    EXPECT_THAT(parse_length_m("0.76 m", kFoot), Metres(0.76));
    EXPECT_THAT(parse_length_m("76cm", kFoot), Metres(0.76));
    EXPECT_THAT(parse_length_m("30 in", 1.0), Metres(0.762));
    EXPECT_THAT(parse_length_m("30\"", 1.0), Metres(0.762));
    EXPECT_THAT(parse_length_m("3 us-ft", 1.0), Metres(3600.0 / 3937.0));
}

// 2 ft 6 in = 30 in = 0.762 m (SP 811 factors).
TEST(Length, ReadsFeetAndInchesAsWrittenOnSite) {
    for (const char* text : {"2' 6\"", "2'6\"", "2'-6\"", "2 ft 6 in", "2 feet 6 inches",
                             "2ft. 6in.", "2' 6", "2\u2032 6\u2033", "2\u2019 6\u201d", "2' 6''"}) {
        EXPECT_THAT(parse_length_m(text, 1.0), Metres(0.762)) << text;
    }
}

TEST(Length, ReadsFractions) {
    EXPECT_THAT(parse_length_m("1/4 in", 1.0), Metres(0.00635));
    EXPECT_THAT(parse_length_m("6 1/2 in", 1.0), Metres(0.1651));
    EXPECT_THAT(parse_length_m("6-1/2\"", 1.0), Metres(0.1651));
    EXPECT_THAT(parse_length_m("6\u00bd\"", 1.0), Metres(0.1651));
    EXPECT_THAT(parse_length_m("2' 6 1/2\"", 1.0), Metres(0.7747));
    EXPECT_THAT(parse_length_m("2 1/2", kFoot), Metres(0.762));
}

TEST(Length, KeepsTheSign) {
    EXPECT_THAT(parse_length_m("-0.4 m", 1.0), Metres(-0.4));
    EXPECT_THAT(parse_length_m("-2' 6\"", 1.0), Metres(-0.762));
    EXPECT_THAT(parse_length_m("\u22121", 1.0), Metres(-1.0));
}

TEST(Length, TakesADecimalCommaOnlyWhenAllowed) {
    EXPECT_THAT(parse_length_m("12,4 m", 1.0, true), Metres(12.4));
    EXPECT_THAT(parse_length_m("12.4 m", 1.0, true), Metres(12.4));
    EXPECT_THAT(parse_length_m("12,4 m", 1.0), Eq(std::nullopt));
    EXPECT_THAT(parse_length_m("1,234.5", 1.0, true), Eq(std::nullopt));
}

TEST(Length, RefusesWhatCouldBeMisread) {
    for (const char* text :
         {"",         " ",      "3 fathoms", "about 3", "3 or 4",       "3 m?",
          "nan",      "inf",    "-inf",      "1e999",   "0x10",         "2' 14\"",
          "2.5' 6\"", "2' 6 m", "6\" 2'",    "2-6",     "2 3",          "1/0 in",
          "5 7/4 in", "--2",    "m",         "1.2.3",   "2 us-ft 6 in", "12 ft 3 in 2 in"}) {
        EXPECT_THAT(parse_length_m(text, 1.0), Eq(std::nullopt)) << text;
    }
}

TEST(Length, RefusesGarbageOfAnyLength) {
    EXPECT_THAT(parse_length_m(std::string(10'000, '9'), 1.0), Eq(std::nullopt));
    EXPECT_THAT(parse_length_m(std::string(10'000, 'x'), 1.0), Eq(std::nullopt));
    EXPECT_THAT(parse_length_m(std::string("1\0002", 3), 1.0), Eq(std::nullopt));
}

TEST(Number, IsPlainAndFinite) {
    EXPECT_THAT(parse_number(" -12.50 "), Metres(-12.5));
    EXPECT_THAT(parse_number("+3"), Metres(3.0));
    EXPECT_THAT(parse_number("1.5e-3"), Metres(0.0015));
    EXPECT_THAT(parse_number("12,5", true), Metres(12.5));
    for (const char* text : {"", "nan", "inf", "12 m", "12,5", "1e", "0x1f", ".", "1 2"}) {
        EXPECT_THAT(parse_number(text), Eq(std::nullopt)) << text;
    }
}

}  // namespace
}  // namespace sondeline
