#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "sondeline/service.hpp"

#include "cli/cache_options.hpp"
#include "cli/commands.hpp"
#include "cli/progress.hpp"
#include "cli/say.hpp"
#include "cli/stop_on_signal.hpp"

namespace sondeline::cli {

namespace {

struct WatchArguments {
    std::filesystem::path inbox;
    CacheArguments cache;
    WatchOptions options;
    bool quiet = false;
    bool json = false;
    bool no_pdf = false;
};

int watch(const WatchArguments& arguments) {
    const StopOnSignal stop;
    Progress progress(progress_style(arguments.quiet, arguments.json));
    WatchOptions options = arguments.options;
    options.stop = stop.token();
    if (!arguments.no_pdf) options.pdf_program = usual_pdf_program;
    options.progress = [&](const std::string& clip, double share) { progress.show(clip, share); };
    options.tell = [&](const std::string& line) {
        progress.clear();
        if (arguments.json) {
            const nlohmann::json event{{"schema", "sondeline-event/1"}, {"what", line}};
            constexpr auto keep_going = nlohmann::json::error_handler_t::replace;
            say(event.dump(-1, ' ', false, keep_going) + "\n");
        } else if (!arguments.quiet) {
            say(line + "\n");
        }
    };
    const std::string why_not = watch_inbox(arguments.inbox, reader_with(arguments.cache), options);
    progress.finish();
    if (why_not.empty()) return 0;
    complain(why_not);
    return 3;
}

}  // namespace

void add_watch_command(CLI::App& app, int& exit_code) {
    auto arguments = std::make_shared<WatchArguments>();
    CLI::App* command = app.add_subcommand(
        "watch", "Make the map of every job folder dropped into an inbox, until stopped");
    command->add_option("INBOX", arguments->inbox, "The folder to watch")->required();
    command
        ->add_option("--settle", arguments->options.settle_s,
                     "Seconds without a change after which a job counts as copied (default: 10)")
        ->check(CLI::Range(0.0, 86400.0));
    command
        ->add_option("--interval", arguments->options.interval_s,
                     "Seconds between looks (default: 2)")
        ->check(CLI::Range(0.05, 3600.0));
    command->add_option("--threads", arguments->options.threads,
                        "Clips read side by side (default: all cores)");
    command->add_flag("--once", arguments->options.once,
                      "End when every job there is has been worked on");
    add_cache_options(*command, arguments->cache);
    command->add_flag("--no-pdf", arguments->no_pdf, "Leave report.pdf out");
    command->add_flag("--quiet", arguments->quiet, "Print nothing; watching.json tells");
    command->add_flag("--json", arguments->json, "Print events as JSON, one a line");
    command->callback([arguments, &exit_code] { exit_code = watch(*arguments); });
}

}  // namespace sondeline::cli
