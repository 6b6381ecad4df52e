#include <algorithm>
#include <memory>

#include <CLI/CLI.hpp>

#include "cli/cache_options.hpp"
#include "cli/commands.hpp"
#include "cli/print_check.hpp"
#include "cli/say.hpp"

namespace sondeline::cli {

namespace {

struct CheckArguments {
    std::vector<std::filesystem::path> folders;
    CacheArguments cache;
    bool quiet = false;
    bool json = false;
};

int check_folders(const CheckArguments& arguments) {
    int worst = 0;
    for (const JobOrder& order : job_orders(arguments.folders)) {
        const SiteCheck check = check_job(order.folder, cache_of(arguments.cache));
        if (arguments.json) {
            say(check_json(check));
        } else if (!arguments.quiet) {
            say(check_text(check));
        }
        worst = std::max(worst, check_exit_code(check));
    }
    return worst;
}

}  // namespace

void add_check_command(CLI::App& app, int& exit_code) {
    auto arguments = std::make_shared<CheckArguments>();
    CLI::App* command = app.add_subcommand(
        "check", "Say what is missing or wrong, from tables and footage headers, before you leave");
    command->add_option("FOLDER", arguments->folders, "Job folders, or a folder of job folders")
        ->required()
        ->check(CLI::ExistingDirectory);
    add_cache_options(*command, arguments->cache);
    command->add_flag("--quiet", arguments->quiet, "Print nothing: the exit code tells");
    command->add_flag("--json", arguments->json, "Print JSON, a line for each job");
    command->callback([arguments, &exit_code] { exit_code = check_folders(*arguments); });
}

}  // namespace sondeline::cli
