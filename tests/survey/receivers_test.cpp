#include "survey/receivers.hpp"

#include <gtest/gtest.h>

namespace sondeline {
namespace {

Job job_of_two_structures(const std::string& first, const std::string& second,
                          std::optional<double> offset_m) {
    Job job;
    job.settings.receiver_offset_m = offset_m;
    for (const std::string& receiver : {first, second}) {
        Structure structure;
        structure.id.text = "S" + std::to_string(job.structures.size());
        structure.receiver = receiver;
        structure.position =
            TypedPosition{false, 10.0 * static_cast<double>(job.structures.size()), 0.0, {}};
        job.structures.push_back(structure);
    }
    return job;
}

TEST(Receivers, AreOneWhereNoRowNamesAny) {
    Findings findings;
    const Receivers receivers(job_of_two_structures("", "", 1.5), findings);
    ASSERT_EQ(receivers.all().size(), 1U);
    EXPECT_EQ(receivers.all()[0].offset_sd_m, 1.5);
    EXPECT_EQ(receivers.of(""), 0);
}

TEST(Receivers, LeaveRowsWithoutANameToKnownPoints) {
    Findings findings;
    const Receivers receivers(job_of_two_structures("rover", "", 1.5), findings);
    EXPECT_EQ(receivers.of("rover"), 0);
    EXPECT_FALSE(receivers.of("").has_value());
    EXPECT_TRUE(findings.empty());
}

TEST(Receivers, CountFromKnownPointsWithoutAnOffsetAndSaySoWhenNamed) {
    Findings findings;
    EXPECT_TRUE(Receivers(job_of_two_structures("", "", std::nullopt), findings).all().empty());
    EXPECT_TRUE(findings.empty());
    EXPECT_TRUE(
        Receivers(job_of_two_structures("rover", "", std::nullopt), findings).all().empty());
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_EQ(findings[0].where.column, "receiver offset");
}

TEST(Receivers, PassOnToStructuresTapedFromTheirMarks) {
    std::vector<SiteStructure> structures(3);
    structures[0].receiver = structures[1].receiver = 0;
    structures[2].how_fixed = "swing ties from A and B";
    std::vector<TieObservation> ties{{2, 0, {5.0, 0.01}, ""}, {2, 1, {5.0, 0.01}, ""}};
    share_receivers_of_marks(ties, structures);
    EXPECT_EQ(structures[2].receiver, 0);
    structures[1].receiver.reset();
    share_receivers_of_marks(ties, structures);
    EXPECT_FALSE(structures[2].receiver.has_value());
}

TEST(Receivers, ReachTheSite) {
    const Site site = survey_site(job_of_two_structures("rover", "", 0.8), {});
    ASSERT_EQ(site.receivers.size(), 1U);
    EXPECT_EQ(site.structures[0].receiver, 0);
    EXPECT_FALSE(site.structures[1].receiver.has_value());
}

}  // namespace
}  // namespace sondeline
