#include <algorithm>
#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "sondeline/service.hpp"

#include "cli/commands.hpp"
#include "cli/print_outcome.hpp"
#include "cli/say.hpp"
#include "cli/stop_on_signal.hpp"

namespace sondeline::cli {

namespace {

struct PublishArguments {
    std::vector<std::filesystem::path> folders;
    std::string to;
    PublishOptions options;
    bool quiet = false;
    bool json = false;
};

void tell_published(const PublishArguments& arguments, const Published& published) {
    if (arguments.json) {
        const nlohmann::json line{{"schema", "sondeline-published/1"},
                                  {"job", published.job},
                                  {"rows", published.rows},
                                  {"error", published.error}};
        constexpr auto keep_going = nlohmann::json::error_handler_t::replace;
        say(line.dump(-1, ' ', false, keep_going) + "\n");
    } else if (!published.error.empty()) {
        complain(published.error);
    } else if (!arguments.quiet) {
        say(fmt::format("{}: {} rows are in the map\n", published.job, published.rows));
        for (const Finding& finding : published.findings) {
            say(finding_text(finding, LengthUnit::metre));
        }
    }
}

int publish(const PublishArguments& arguments) {
    const StopOnSignal stop;
    int worst = 0;
    for (const JobOrder& order : job_orders(arguments.folders)) {
        if (stop.token().stop_requested()) return stop.exit_code();
        const Published published = publish_job(order.folder, arguments.to, arguments.options);
        tell_published(arguments, published);
        if (!published.error.empty()) worst = 3;
        if (!published.findings.empty()) worst = std::max(worst, 2);
    }
    return worst;
}

}  // namespace

void add_publish_command(CLI::App& app, int& exit_code) {
    auto arguments = std::make_shared<PublishArguments>();
    CLI::App* command =
        app.add_subcommand("publish", "Put the maps of jobs into a shared map, each as a whole");
    command->add_option("FOLDER", arguments->folders, "Processed job folders, or a folder of them")
        ->required()
        ->check(CLI::ExistingDirectory);
    command->add_option("--to", arguments->to, "A GeoPackage, or a PostGIS connection PG:…")
        ->required()
        ->option_text("MAP");
    command
        ->add_option("--crs", arguments->options.crs,
                     "Coordinate system of a new map (default: EPSG:4326)")
        ->option_text("CODE");
    command->add_flag("--replace", arguments->options.replace_other,
                      "Also replace a job of the same name from another folder");
    command->add_flag("--quiet", arguments->quiet, "Print nothing unless a job was not published");
    command->add_flag("--json", arguments->json, "Print JSON, a line for each job");
    command->callback([arguments, &exit_code] { exit_code = publish(*arguments); });
}

}  // namespace sondeline::cli
