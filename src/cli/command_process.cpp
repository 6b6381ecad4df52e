#include <algorithm>
#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "sondeline/service.hpp"

#include "cli/cache_options.hpp"
#include "cli/commands.hpp"
#include "cli/print_outcome.hpp"
#include "cli/progress.hpp"
#include "cli/say.hpp"
#include "cli/stop_on_signal.hpp"

namespace sondeline::cli {

namespace {

namespace fs = std::filesystem;

struct ProcessArguments {
    std::vector<fs::path> folders;
    fs::path out;
    unsigned threads = 0;
    bool quiet = false;
    bool json = false;
    bool no_pdf = false;
    CacheArguments cache;
};

// Clips of several jobs may be called alike.
std::string shown_name(const std::vector<JobOrder>& orders, std::size_t job,
                       const std::string& clip) {
    if (orders.size() == 1) return clip;
    return (orders[job].folder.filename() / clip).generic_string();
}

void expect_clips(const std::vector<JobOrder>& orders, Progress& progress) {
    for (std::size_t i = 0; i < orders.size(); ++i) {
        for (const FootageFile& file : read_job_folder(orders[i].folder).footage) {
            std::error_code gone;
            const std::uintmax_t bytes = fs::file_size(file.path, gone);
            progress.expect(shown_name(orders, i, file.name), gone ? 0 : bytes);
        }
    }
}

void tell_outcome(const ProcessArguments& arguments, const Outcome& outcome) {
    if (arguments.json) {
        say(outcome_json(outcome));
    } else if (!arguments.quiet) {
        say(outcome_text(outcome));
    } else if (outcome.exit_code == 3) {
        complain(outcome.error);
    }
}

// The hidden folder that a map grows in, when there is no time to leave in good order.
void remove_unfinished(const std::vector<JobOrder>& orders) {
    for (const JobOrder& order : orders) {
        const fs::path out = order.out.empty() ? order.folder / "asbuilt" : order.out;
        std::error_code ignored;
        fs::remove_all(unfinished_folder(out), ignored);
    }
}

// 3 beats 2 beats 0, so that the worst of several jobs is what the shell sees.
int worst_of(const std::vector<Outcome>& outcomes) {
    int worst = 0;
    for (const Outcome& outcome : outcomes) worst = std::max(worst, outcome.exit_code);
    return worst;
}

int process_folders(const ProcessArguments& arguments) {
    const std::vector<JobOrder> orders = job_orders(arguments.folders, arguments.out);
    const StopOnSignal stop([&] { remove_unfinished(orders); });
    Progress progress(progress_style(arguments.quiet, arguments.json));
    expect_clips(orders, progress);
    DayOptions options;
    options.threads = arguments.threads;
    options.stop = stop.token();
    if (!arguments.no_pdf) options.pdf_program = usual_pdf_program;
    options.progress = [&](const JobProgress& at) {
        progress.show(shown_name(orders, at.job, at.clip), at.share);
    };
    options.job_done = [&](std::size_t, const Outcome& outcome) {
        progress.clear();
        tell_outcome(arguments, outcome);
    };
    try {
        const std::vector<Outcome> outcomes =
            process_jobs(orders, reader_with(arguments.cache), options);
        progress.finish();
        const bool is_day = outcomes.size() > 1;
        if (is_day && !arguments.json && !arguments.quiet) say(day_text(outcomes));
        return worst_of(outcomes);
    } catch (const Stopped&) {
        progress.finish();
        if (!arguments.quiet) complain("Stopped. Maps that were not finished are as they were.");
        return stop.exit_code();
    }
}

}  // namespace

void add_process_command(CLI::App& app, int& exit_code) {
    auto arguments = std::make_shared<ProcessArguments>();
    CLI::App* command =
        app.add_subcommand("process", "Read the footage and tables of a folder and write the map");
    command->add_option("FOLDER", arguments->folders, "Job folders, or a folder of job folders")
        ->required()
        ->check(CLI::ExistingDirectory);
    command->add_option("--out", arguments->out, "Where to write (default: FOLDER/asbuilt)")
        ->option_text("FOLDER");
    command->add_option("--threads", arguments->threads,
                        "Clips read side by side (default: all cores)");
    command->add_flag("--no-pdf", arguments->no_pdf, "Leave report.pdf out");
    command->add_flag("--quiet", arguments->quiet, "Print nothing unless nothing could be written");
    command->add_flag("--json", arguments->json, "Print the outcome as JSON, a line for each job");
    add_cache_options(*command, arguments->cache);
    command->callback([arguments, &exit_code] { exit_code = process_folders(*arguments); });
}

}  // namespace sondeline::cli
