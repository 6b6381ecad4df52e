#include "cli/print_check.hpp"

#include <sstream>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "cli/print_outcome.hpp"

namespace sondeline::cli {
namespace {

using testing::HasSubstr;

RunCheck run_of(const char* id, double reach_m) {
    RunCheck run;
    run.id.text = id;
    run.clips = 1;
    run.fixes = 7;
    run.reach_m = reach_m;
    run.belly_words = "none would show";
    return run;
}

SiteCheck three_runs() {
    SiteCheck check;
    check.site = "The site";
    check.runs = {run_of("BS", 33.0 * 0.3048), run_of("EL", 57.4 * 0.3048),
                  run_of("L1", 62.1 * 0.3048)};
    check.runs[0].footage_read = true;
    check.runs[0].worst_sd_m = 0.1;
    check.runs[1].end_noted = true;
    return check;
}

TEST(CheckText, SaysWhatTheLengthOfEachRunRestsOn) {
    const std::string text = check_text(three_runs());
    EXPECT_THAT(text, HasSubstr("33.0 ft  "));  // read off the footage
    EXPECT_THAT(text, HasSubstr("57.4 ft as noted"));
    EXPECT_THAT(text, HasSubstr("62.1 ft or more"));
    EXPECT_THAT(text, HasSubstr("not on the map"));
}

TEST(CheckText, FitsATerminalOfEightyColumns) {
    std::istringstream lines(check_text(three_runs()));
    for (std::string line; std::getline(lines, line);) EXPECT_LE(shown_width(line), 80U) << line;
}

TEST(CheckJson, TellsAnEndThatWasNotedFromOneThatWasRead) {
    const std::string json = check_json(three_runs());
    EXPECT_THAT(json, HasSubstr("\"end_noted\":true"));
    EXPECT_THAT(json, HasSubstr("\"footage_read\":true"));
}

}  // namespace
}  // namespace sondeline::cli
