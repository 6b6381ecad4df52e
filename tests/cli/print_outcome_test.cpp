#include "cli/print_outcome.hpp"

#include <algorithm>
#include <sstream>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace sondeline::cli {
namespace {

Outcome small_outcome() {
    Outcome outcome;
    outcome.site = "Test site";
    outcome.out = "somewhere/asbuilt";
    RunOutcome run;
    run.id.text = "L1";
    run.from = "box";
    run.length_m = 30.48;
    run.length_lo95_m = 30.38;
    run.length_hi95_m = 30.58;
    run.slope = "withheld";
    run.bellies = "cannot be seen";
    outcome.runs = {run};
    Where where;
    where.file = "fixes.csv";
    where.row = 7;
    outcome.findings = {{Severity::problem, where,
                         std::string(30, 'x') + " is not a length and it "
                                                "goes on for longer than a terminal is wide.",
                         "Write it like 2' 6\"."}};
    return outcome;
}

TEST(Wrapped, BreaksAtBlanksAndIndentsWhatFollows) {
    EXPECT_EQ(wrapped("one two three four", 2, 9), "one two\n  three\n  four\n");
    EXPECT_EQ(wrapped("  one two", 4, 80), "  one two\n");
}

TEST(OutcomeText, FitsATerminalOfEightyColumns) {
    std::istringstream lines(outcome_text(small_outcome()));
    for (std::string line; std::getline(lines, line);) {
        const auto shown = std::ranges::count_if(
            line, [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; });
        EXPECT_LE(shown, 80) << line;
    }
}

TEST(OutcomeText, FitsATerminalWhateverTheRunsAreCalled) {
    Outcome outcome = small_outcome();
    outcome.runs[0].id.text = "Building sewer, north bathroom and kitchen";
    outcome.runs[0].from = "house clean-out at the south wall";
    outcome.runs[0].to = "septic tank, inlet baffle";
    const std::string text = outcome_text(outcome);
    std::istringstream lines(text);
    for (std::string line; std::getline(lines, line);) EXPECT_LE(shown_width(line), 80U) << line;
    EXPECT_NE(text.find("Building sewer, north bathroom and kitchen: house"), std::string::npos);
    EXPECT_NE(text.find("\n    100.0 ft (99.6 to 100.4)  withheld      cannot be seen"),
              std::string::npos);
}

TEST(OutcomeText, SaysLengthsInTheJobsUnitWithTheirBounds) {
    EXPECT_NE(outcome_text(small_outcome()).find("100.0 ft (99.6 to 100.4)"), std::string::npos);
}

TEST(DayText, TellsTwoJobsOfOneNameApartByWhereTheirMapsAre) {
    Outcome first = small_outcome();
    Outcome second = small_outcome();
    first.out = "day/a/asbuilt";
    second.out = "day/b/asbuilt";
    const std::string text = day_text({first, second});
    EXPECT_NE(text.find("day/a/asbuilt"), std::string::npos);
    EXPECT_NE(text.find("day/b/asbuilt"), std::string::npos);
}

TEST(OutcomeJson, IsOneLineThatParses) {
    const std::string text = outcome_json(small_outcome());
    EXPECT_EQ(std::ranges::count(text, '\n'), 1);
    const auto json = nlohmann::json::parse(text);
    EXPECT_EQ(json.at("runs").at(0).at("length_m"), 30.48);
    EXPECT_EQ(json.at("findings").at(0).at("where").at("row"), 7);
}

TEST(OutcomeText, SaysOnceWhatHoldsForManyRuns) {
    Outcome outcome = small_outcome();
    outcome.findings.clear();
    for (int i = 1; i <= 12; ++i) {
        Where where;
        where.run = "L" + std::to_string(i);
        outcome.findings.push_back({Severity::caution, where, "This run is not on the map.", ""});
    }
    const std::string text = outcome_text(outcome);
    EXPECT_EQ(text.find("not on the map"), text.rfind("not on the map"));
    EXPECT_NE(text.find("The same for run L2; run L3;"), std::string::npos) << text;
    EXPECT_NE(text.find("and 3 more."), std::string::npos) << text;
    EXPECT_NE(text.find("12 cautions"), std::string::npos);
}

}  // namespace
}  // namespace sondeline::cli
