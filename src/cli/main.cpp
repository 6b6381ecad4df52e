#include <csignal>
#include <cstdio>
#include <exception>
#include <memory>

#include <CLI/CLI.hpp>
#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include "sondeline/pipeline.hpp"

#include "cli/commands.hpp"
#include "cli/help_text.hpp"
#include "cli/say.hpp"

namespace {

constexpr int usage_error = 1;
constexpr int nothing_written = 3;

// A standard stream that was closed would lend its number to the next file that is opened, and what
// is printed would go into that. Nothing can be written to what stands in its place.
void keep_standard_streams() {
    for (const int stream : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO}) {
        if (fcntl(stream, F_GETFD) < 0) open("/dev/null", O_RDONLY);
    }
}

// A reader that goes away and a file that may not grow are errors like others, not the end.
void ignore_deadly_errors() {
    std::signal(SIGPIPE, SIG_IGN);
    std::signal(SIGXFSZ, SIG_IGN);
}

int run(int argc, char** argv) {
    CLI::App app{
        "sondeline turns a day's footage and notes into the as-built map of the pipes.\n"
        "Put the clips and tables of one site into a folder and run: sondeline process FOLDER",
        "sondeline"};
    app.formatter(std::make_shared<sondeline::cli::HelpText>());
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
    keep_standard_streams();
    ignore_deadly_errors();
    try {
        return run(argc, argv);
    } catch (const std::exception& error) {
        fmt::print(stderr, "sondeline stopped: {}\n", error.what());
        return nothing_written;
    }
}
