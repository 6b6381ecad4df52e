#include "pipeline/unchecked_tapes.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "pipeline/tied_box.hpp"

namespace sondeline {
namespace {

using testing::AllOf;
using testing::HasSubstr;
using testing::IsEmpty;

constexpr double foot_m = 0.3048;

// Every fix good to 5 cm: the pipes tell where the box is.
made::JobRecipe well_located() {
    made::JobRecipe recipe;
    recipe.fix_sd_m = 0.05;
    recipe.outlier_share = 0.0;
    recipe.wrong_station_share = 0.0;
    recipe.box_surveyed_share = 1.0;
    return recipe;
}

double miss_in_sds(const PlanFix& fix, PlanPoint truth) {
    const double e = fix.at.e_m - truth.e_m;
    const double n = fix.at.n_m - truth.n_m;
    const PlanCovariance& c = fix.cov;
    const double determinant = c.ee * c.nn - c.en * c.en;
    return std::sqrt((c.nn * e * e - 2.0 * c.en * e * n + c.ee * n * n) / determinant);
}

TEST(UncheckedTapes, NameTheTapeThatThePipesShowToBeAFootOff) {
    const made::TiedBox tied = made::tied_box(3, well_located(), foot_m);
    const Site held = with_tapes_held_against_runs(tied.site);
    ASSERT_EQ(held.findings.size(), 1U);
    EXPECT_EQ(held.findings[0].where.structure, "box");
    EXPECT_THAT(held.findings[0].what,
                AllOf(HasSubstr("from west nail, where"), HasSubstr("slip of a whole foot")));
    const auto box = static_cast<std::size_t>(tied.box);
    EXPECT_GT(miss_in_sds(*align_site(tied.site).structures[box].plan, tied.true_at), 2.45);
    EXPECT_LT(miss_in_sds(*align_site(held).structures[box].plan, tied.true_at), 2.45);
}

TEST(UncheckedTapes, WhoseSlipThePipesWouldShowAreNotSpokenOf) {
    made::TiedBox tied = made::tied_box(3, well_located(), 0.0);
    tied.site.job_unit = LengthUnit::metre;  // a slip is of a metre then
    EXPECT_THAT(with_tapes_held_against_runs(tied.site).findings, IsEmpty());
}

TEST(UncheckedTapes, AskForAThirdWhereNoPipeChecksThem) {
    made::TiedBox tied = made::tied_box(3, well_located(), 0.0);
    for (SiteFix& fix : tied.site.fixes) fix.position.reset();
    const Findings told = with_tapes_held_against_runs(tied.site).findings;
    ASSERT_EQ(told.size(), 1U);
    EXPECT_EQ(told[0].severity, Severity::caution);
    EXPECT_THAT(told[0].what, AllOf(HasSubstr("box is held by two tapes that nothing checks"),
                                    HasSubstr("misread by 1 ft moves the place by up to 1.0 ft")));
    EXPECT_EQ(told[0].what_to_do, "Tape it from a third mark.");
}

}  // namespace
}  // namespace sondeline
