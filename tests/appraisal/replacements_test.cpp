#include <gtest/gtest.h>

#include "one_lateral.hpp"

namespace sondeline {
namespace {

using made::OneLateral;

TEST(Replacements, RunFromStationToStationBeyondTheDefect) {
    OneLateral lateral({19.0, 18.8, 19.2});
    lateral.belly(5.0, 7.0);
    lateral.lines.runs[0].points = {LinePoint{0.0, 0.0, {}, 0.0, {}},
                                    LinePoint{19.0, 19.0, {19.0, 0.0}, 0.0, {}}};
    lateral.note(NoteCategory::root, 7.8);      // meets the belly's margin
    lateral.note(NoteCategory::fitting, 12.0);  // nothing wrong
    lateral.note(NoteCategory::crack, 18.9);    // ends with the pipe
    const Appraisal appraisal = lateral.appraised();
    ASSERT_EQ(appraisal.replacements.size(), 2U);
    EXPECT_NEAR(appraisal.replacements[0].from_station_m, 4.5, 1e-9);
    EXPECT_NEAR(appraisal.replacements[0].to_station_m, 8.3, 1e-9);
    EXPECT_EQ(appraisal.replacements[0].why, "holds water; root");
    EXPECT_NEAR(appraisal.replacements[1].to_station_m, 19.0, 1e-9);
    EXPECT_EQ(appraisal.replacements[1].why, "crack");
}

// Shores each known within 0.4 m make the water between them, 2 m, uncertain by 0.4·√2 = 0.57 m,
// and what would be replaced with it.
TEST(Replacements, AreNoSurerThanTheEndsOfTheDefect) {
    OneLateral lateral({19.0, 18.8, 19.2});
    Belly& belly = lateral.belly(5.0, 7.0);
    belly.from_bounds_m = Bounded{5.0, 4.6, 5.4};
    belly.to_bounds_m = Bounded{7.0, 6.6, 7.4};
    EXPECT_NEAR(belly.length_m().lo95, 2.0 - 0.5657, 1e-4);
    EXPECT_NEAR(belly.length_m().hi95, 2.0 + 0.5657, 1e-4);
    const Appraisal appraisal = lateral.appraised();
    ASSERT_EQ(appraisal.replacements.size(), 1U);
    EXPECT_NEAR(appraisal.replacements[0].length_m.value, 3.0, 1e-9);
    EXPECT_NEAR(appraisal.replacements[0].length_m.lo95, 3.0 - 0.5657, 1e-2);
    EXPECT_NEAR(appraisal.replacements[0].length_m.hi95, 3.0 + 0.5657, 1e-2);
}

// The greatest depth of a stretch is at least that of its surest place, and may be that of its
// least sure one.
TEST(Replacements, AreAsDeepAsAnyPlaceOfThemMayBe) {
    OneLateral lateral({19.0, 18.8, 19.2});
    lateral.belly(5.0, 7.0);
    ProfilePoint sure;
    sure.station_m = 5.5;
    sure.cover_m = Bounded{1.00, 0.98, 1.02};
    ProfilePoint unsure;
    unsure.station_m = 6.5;
    unsure.cover_m = Bounded{0.99, 0.80, 1.20};
    lateral.profiles.runs[0].profile = {sure, unsure};
    const Appraisal appraisal = lateral.appraised();
    ASSERT_EQ(appraisal.replacements.size(), 1U);
    EXPECT_DOUBLE_EQ(appraisal.replacements[0].depth_m->value, 1.00);
    EXPECT_DOUBLE_EQ(appraisal.replacements[0].depth_m->lo95, 0.98);
    EXPECT_DOUBLE_EQ(appraisal.replacements[0].depth_m->hi95, 1.20);
}

// Half a metre of sound pipe is replaced with a defect (common practice, no source), also with one
// noted a little beyond the furthest reading.
TEST(Replacements, AreHalfAMetreLongAtLeast) {
    OneLateral lateral({19.0, 18.8, 19.2});
    lateral.lines.runs[0].scale = {1.0, 0.0};
    lateral.note(NoteCategory::collapse, 19.5);
    const Appraisal appraisal = lateral.appraised();
    ASSERT_EQ(appraisal.replacements.size(), 1U);
    EXPECT_NEAR(appraisal.replacements[0].from_station_m, 18.5, 1e-9);
    EXPECT_NEAR(appraisal.replacements[0].to_station_m, 19.0, 1e-9);
}

TEST(Replacements, AreNotPricedForARunWithoutALength) {
    OneLateral lateral({19.0, 18.8, 19.2});
    lateral.note(NoteCategory::collapse, 5.0);
    lateral.lines.runs[0].length_m = withheld<Bounded>("no footage", "push it again");
    EXPECT_TRUE(lateral.appraised().replacements.empty());
}

}  // namespace
}  // namespace sondeline
