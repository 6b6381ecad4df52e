#include <cstdio>
#include <exception>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "sondeline/pipeline.hpp"

#include "cli/commands.hpp"
#include "cli/say.hpp"

namespace {

constexpr int usage_error = 1;
constexpr int nothing_written = 3;

int run(int argc, char** argv) {
    CLI::App app{
        "sondeline turns a day's camera footage and notes into the as-built map of the pipes.\n"
        "Put the clips and tables of one site into a folder and run: sondeline process FOLDER"};
    app.set_version_flag("--version", std::string(sondeline::program_version()));
    app.require_subcommand(1);
    app.failure_message(CLI::FailureMessage::help);
    int exit_code = 0;
    sondeline::cli::add_process_command(app, exit_code);
    sondeline::cli::add_read_command(app, exit_code);
    sondeline::cli::add_check_command(app, exit_code);
    sondeline::cli::add_start_command(app, exit_code);
    sondeline::cli::add_watch_command(app, exit_code);
    sondeline::cli::add_publish_command(app, exit_code);
    try {
        app.parse(argc, argv);
    } catch (const CLI::ParseError& error) {
        return app.exit(error) == 0 ? 0 : usage_error;
    }
    if (sondeline::cli::said_all()) return exit_code;
    sondeline::cli::complain(
        "Not all that was to be printed could be written to standard out: its disk may be full, "
        "or what it was piped into has ended. Maps that were finished are in their place.");
    return nothing_written;
}

}  // namespace

int main(int argc, char** argv) {
    try {
        return run(argc, argv);
    } catch (const std::exception& error) {
        fmt::print(stderr, "sondeline stopped: {}\n", error.what());
        return nothing_written;
    }
}
