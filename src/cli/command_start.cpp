#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "sondeline/service.hpp"

#include "cli/commands.hpp"
#include "cli/print_outcome.hpp"
#include "cli/say.hpp"

namespace sondeline::cli {

namespace {

struct StartArguments {
    std::filesystem::path folder;
    std::string unit = "ft";
    bool workbook = false;
    bool quiet = false;
};

std::string started_text(const Started& started) {
    std::string text;
    const auto list = [&](const char* what, const std::vector<std::string>& names) {
        if (!names.empty()) text += wrapped(fmt::format("{}: {}", what, fmt::join(names, ", ")), 2);
    };
    list("Written", started.written);
    list("Left as they were", started.kept);
    list("Clips that no run names", started.unlisted_clips);
    if (!started.written.empty()) {
        text += "Fill them in as filling-in.txt says, then run: sondeline check FOLDER\n";
    }
    return text;
}

int start_folder(const StartArguments& arguments) {
    const auto unit = parse_length_unit(arguments.unit);
    const Started started =
        start_tables(arguments.folder, {unit.value_or(LengthUnit::foot), arguments.workbook});
    if (!arguments.quiet) say(started_text(started));
    if (started.error.empty()) return 0;
    complain(started.error);
    return 3;
}

}  // namespace

void add_start_command(CLI::App& app, int& exit_code) {
    auto arguments = std::make_shared<StartArguments>();
    CLI::App* command =
        app.add_subcommand("start", "Write the tables to fill in, with the runs already listed");
    command->add_option("FOLDER", arguments->folder, "The folder with the day's footage")
        ->required()
        ->check(CLI::ExistingDirectory);
    command
        ->add_option("--unit", arguments->unit,
                     "Unit of tapes and counters: ft, us-ft or m (default: ft)")
        ->check(CLI::IsMember({"ft", "us-ft", "m"}))
        ->option_text("UNIT");
    command->add_flag("--workbook", arguments->workbook, "One workbook instead of CSV files");
    command->add_flag("--quiet", arguments->quiet, "Print nothing");
    command->callback([arguments, &exit_code] { exit_code = start_folder(*arguments); });
}

}  // namespace sondeline::cli
