// The commands of the program: each parses its arguments, calls the library and prints.
#pragma once

#include <CLI/App.hpp>

namespace sondeline::cli {

// Adds the command to `app`. When it is chosen, `exit_code` receives its result.
void add_process_command(CLI::App& app, int& exit_code);
void add_read_command(CLI::App& app, int& exit_code);
void add_check_command(CLI::App& app, int& exit_code);
void add_start_command(CLI::App& app, int& exit_code);
void add_watch_command(CLI::App& app, int& exit_code);
void add_publish_command(CLI::App& app, int& exit_code);

}  // namespace sondeline::cli
