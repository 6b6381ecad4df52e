#include "alignment/exchanged_footage.hpp"

#include <gtest/gtest.h>

#include "small_sites.hpp"

namespace sondeline::alignment {
namespace {

using made::deg;
using made::Legs;
using made::says;
using made::SmallSite;

// A pipe of 17 m from the tank to the box and a lateral of 15 m, both located as they lie, with
// these lengths by the counter.
SmallSite day(double line_m, double lateral_m) {
    SmallSite job;
    const int tank = job.structure("tank", StructureKind::tank, PlanPoint{0.0, 0.0});
    const int box = job.structure("box", StructureKind::distribution_box, PlanPoint{0.0, 17.0});
    job.run("EL", tank, box, line_m);
    job.run("L1", box, std::nullopt, lateral_m);
    job.fixes_along(0, Legs({0.0, 0.0}, {{0.0, 0.0}}), {2.0, 5.0, 8.0, 11.0, 14.0}, 0.05);
    job.fixes_along(1, Legs({0.0, 17.0}, {{0.0, 40.0 * deg}}), {2.0, 6.0, 10.0, 13.0}, 0.05);
    return job;
}

constexpr const char* words = "the two clips may be exchanged";

TEST(ExchangedFootage, IsToldWhereOneEndsShortAndAnotherGoesAsFarAsItShould) {
    const Lines lines = align_site(day(15.0, 17.0).site);
    ASSERT_TRUE(lines.runs[0].stops_short);
    EXPECT_TRUE(says(lines.findings, words));
}

TEST(ExchangedFootage, IsNotToldOfRunsThatReachTheirStructures) {
    EXPECT_FALSE(says(align_site(day(17.0, 17.0).site).findings, words));
}

TEST(ExchangedFootage, IsNotToldWhereTheOtherGoesElsewhere) {
    const Lines lines = align_site(day(15.0, 19.0).site);
    ASSERT_TRUE(lines.runs[0].stops_short);
    EXPECT_FALSE(says(lines.findings, words));
}

// Footage that ends before the other's fixes do cannot be that of the other.
TEST(ExchangedFootage, IsNotToldWhereTheFixesOfTheOtherLieBeyondTheFirst) {
    SmallSite job = day(14.5, 17.0);
    job.fixes_along(1, Legs({0.0, 17.0}, {{0.0, 40.0 * deg}}), {16.5}, 0.05);
    const Lines lines = align_site(job.site);
    ASSERT_TRUE(lines.runs[0].stops_short);
    EXPECT_FALSE(says(lines.findings, words));
}

}  // namespace
}  // namespace sondeline::alignment
