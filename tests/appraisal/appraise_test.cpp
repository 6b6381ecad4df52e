#include <gtest/gtest.h>

#include "one_lateral.hpp"

namespace sondeline {
namespace {

using made::OneLateral;

RecordClaim claim_of(RecordItem item, double value, int row) {
    RecordClaim claim;
    claim.document = "permit";
    claim.item = item;
    claim.value = value;
    claim.as_written = "as written";
    claim.source = {"records.csv", row, "value"};
    return claim;
}

TEST(Appraise, WarnsOfEveryClaimThatDiffersAndOfNoOther) {
    OneLateral lateral({19.0, 18.8, 19.2});
    lateral.job.records = {claim_of(RecordItem::total_trench_length, 30.0, 2),
                           claim_of(RecordItem::number_of_laterals, 1.0, 3),
                           claim_of(RecordItem::install_year, 1987.0, 4),
                           claim_of(RecordItem::run_length, 12.0, 5)};
    lateral.job.records[3].of = "L1";
    lateral.job.records.push_back(claim_of(RecordItem::run_length, 12.0, 6));
    lateral.job.records[4].of = "L9";  // nothing on the site answers to that
    const Appraisal appraisal = lateral.appraised();
    ASSERT_EQ(appraisal.records.size(), 5U);
    std::vector<int> rows;
    for (const Finding& finding : appraisal.findings) {
        EXPECT_EQ(finding.severity, Severity::caution);
        EXPECT_EQ(finding.consequence, Consequence::none);
        EXPECT_NE(finding.what_to_do.find("local health department"), std::string::npos);
        rows.push_back(finding.where.row);
    }
    EXPECT_EQ(rows, (std::vector<int>{2, 5, 6}));
    EXPECT_EQ(appraisal.findings[0].what, appraisal.records[0].words);
}

TEST(Appraise, TellsWhereTheLimitsOfTheDepthBandsComeFrom) {
    OneLateral lateral({19.0, 18.8, 19.2});
    EXPECT_NE(lateral.appraised().depth_band_source.find("1926.652(a)(1) for 5 ft"),
              std::string::npos);
    QuantityOptions options;
    options.band_source = "the job table";
    EXPECT_EQ(lateral.appraised(options).depth_band_source, "the job table");
}

TEST(Appraise, HasNoLoadTestAndNoDropsWhereNoneWereMeasured) {
    const Appraisal appraisal = OneLateral({19.0, 18.8, 19.2}).appraised();
    EXPECT_FALSE(appraisal.load_test.has_value());
    EXPECT_TRUE(appraisal.drops.empty());
    EXPECT_TRUE(appraisal.records.empty());
    EXPECT_TRUE(appraisal.findings.empty());
    EXPECT_EQ(appraisal.quantities.size(), 1U);
}

TEST(Appraise, NamesTheRunsThatTheQuantitiesLack) {
    OneLateral lateral({19.0, 18.8, 19.2});
    lateral.lines.runs[0].length_m = withheld<Bounded>("no footage", "push it again");
    const Appraisal appraisal = lateral.appraised();
    EXPECT_TRUE(appraisal.quantities.empty());
    ASSERT_EQ(appraisal.findings.size(), 1U);
    EXPECT_EQ(appraisal.findings[0].where.file, "quantities.csv");
    EXPECT_NE(appraisal.findings[0].what.find("in no sum: L1."), std::string::npos);
}

}  // namespace
}  // namespace sondeline
