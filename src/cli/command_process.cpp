#include <algorithm>
#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "sondeline/pipeline.hpp"

#include "cli/commands.hpp"
#include "cli/print_outcome.hpp"
#include "cli/progress.hpp"

namespace sondeline::cli {

namespace {

struct ProcessArguments {
    std::vector<std::string> folders;
    std::string out;
    unsigned threads = 0;
    bool quiet = false;
    bool json = false;
};

// 3 beats 2 beats 0, so that the worst of several jobs is what the shell sees.
int process_folders(const ProcessArguments& arguments) {
    std::vector<std::filesystem::path> jobs;
    for (const std::string& folder : arguments.folders) {
        for (std::filesystem::path& job : job_folders(folder)) jobs.push_back(std::move(job));
    }
    int worst = 0;
    for (const std::filesystem::path& job : jobs) {
        Progress progress(arguments.quiet || arguments.json);
        ProcessOptions options;
        options.threads = arguments.threads;
        if (!arguments.out.empty()) {
            options.out = jobs.size() == 1 ? std::filesystem::path(arguments.out)
                                           : arguments.out / job.filename();
        }
        options.progress = [&](const std::string& name, double share) {
            progress.show(name, share);
        };
        const TrackReader reader = [](const std::filesystem::path& clip, const ReadProgress& tell) {
            return read_clip(clip, {}, tell);
        };
        const Outcome outcome = process_job(job, reader, options);
        progress.finish();
        if (arguments.json) {
            fmt::print("{}", outcome_json(outcome));
        } else if (!arguments.quiet) {
            fmt::print("{}", outcome_text(outcome));
        } else if (outcome.exit_code == 3) {
            fmt::print(stderr, "{}\n", outcome.error);
        }
        worst = std::max(worst, outcome.exit_code);
    }
    return worst;
}

}  // namespace

void add_process_command(CLI::App& app, int& exit_code) {
    auto arguments = std::make_shared<ProcessArguments>();
    CLI::App* command =
        app.add_subcommand("process", "Read the footage and tables of a folder and write the map");
    command->add_option("FOLDER", arguments->folders, "Job folders, or a folder of job folders")
        ->required()
        ->check(CLI::ExistingDirectory);
    command->add_option("--out", arguments->out, "Where to write (default: FOLDER/asbuilt)");
    command->add_option("--threads", arguments->threads,
                        "Clips read side by side (default: all cores)");
    command->add_flag("--quiet", arguments->quiet, "Print nothing unless nothing could be written");
    command->add_flag("--json", arguments->json, "Print the outcome as JSON, a line for each job");
    command->callback([arguments, &exit_code] { exit_code = process_folders(*arguments); });
}

}  // namespace sondeline::cli
