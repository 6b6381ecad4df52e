#include "cli/help_text.hpp"

#include <sstream>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "cli/columns.hpp"
#include "cli/commands.hpp"

namespace sondeline::cli {
namespace {

using testing::HasSubstr;
using testing::Not;

// The help of the program and of each of its commands, as main sets them up.
std::vector<std::string> all_help() {
    CLI::App app{"The program.", "sondeline"};
    app.formatter(std::make_shared<HelpText>());
    int exit_code = 0;
    add_process_command(app, exit_code);
    add_read_command(app, exit_code);
    add_check_command(app, exit_code);
    add_start_command(app, exit_code);
    add_watch_command(app, exit_code);
    add_publish_command(app, exit_code);
    std::vector<std::string> help{app.help()};
    for (const CLI::App* command : app.get_subcommands({})) help.push_back(command->help());
    return help;
}

TEST(HelpText, FitsATerminalOf80Columns) {
    for (const std::string& help : all_help()) {
        std::istringstream lines(help);
        for (std::string line; std::getline(lines, line);) {
            EXPECT_LE(shown_width(line), 80U) << line;
        }
    }
}

TEST(HelpText, SaysInPlainWordsWhatAnOptionTakes) {
    for (const std::string& help : all_help()) {
        for (const char* word : {"UINT", "TEXT", "FLOAT", "ENUM", ":DIR", "REQUIRED", "1e+06"}) {
            EXPECT_THAT(help, Not(HasSubstr(word)));
        }
    }
    EXPECT_THAT(all_help()[1], HasSubstr("  --threads N           Clips read side by side"));
    EXPECT_THAT(all_help()[1], HasSubstr("  --no-pdf              Leave"));
    EXPECT_THAT(all_help()[1], HasSubstr("  FOLDER …              Job folders"));
}

TEST(HelpText, NamesTheOptionThatAMapCannotBePublishedWithout) {
    EXPECT_THAT(all_help().back(), HasSubstr("(needed)"));
}

}  // namespace
}  // namespace sondeline::cli
