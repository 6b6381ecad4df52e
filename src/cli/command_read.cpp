#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "sondeline/deliverables.hpp"

#include "cli/commands.hpp"
#include "cli/print_outcome.hpp"
#include "cli/progress.hpp"

namespace sondeline::cli {

namespace {

struct ReadArguments {
    std::vector<std::string> clips;
    bool quiet = false;
    bool json = false;
};

int read_clips(const ReadArguments& arguments) {
    std::vector<Track> tracks;
    Progress progress(arguments.quiet || arguments.json);
    for (const std::string& clip : arguments.clips) {
        tracks.push_back(read_clip(clip, {}, [&](double share) { progress.show(clip, share); }));
        progress.show(clip, 1.0);
    }
    progress.finish();
    fmt::print("{}", arguments.json ? readings_json(tracks) : readings_csv(tracks));
    bool all_read = true;
    for (const Track& track : tracks) {
        all_read = all_read && track.format.has_value();
        if (arguments.quiet || arguments.json) continue;
        for (const Finding& finding : track.findings) {
            fmt::print(
                stderr, "{}",
                wrapped(fmt::format("{} {}: {} {}", word(finding.severity), describe(finding.where),
                                    finding.what, finding.what_to_do),
                        2));
        }
    }
    return all_read ? 0 : 2;
}

}  // namespace

void add_read_command(CLI::App& app, int& exit_code) {
    auto arguments = std::make_shared<ReadArguments>();
    CLI::App* command =
        app.add_subcommand("read", "Print the counter of clips at every sampled moment, as CSV");
    command->add_option("CLIP", arguments->clips, "Footage files")->required();
    command->add_flag("--quiet", arguments->quiet, "No progress and no findings on standard error");
    command->add_flag("--json", arguments->json, "JSON instead of CSV");
    command->callback([arguments, &exit_code] { exit_code = read_clips(*arguments); });
}

}  // namespace sondeline::cli
