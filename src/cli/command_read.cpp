#include <fstream>
#include <map>
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

enum class ReadFormat { csv, json, picture };

struct ReadArguments {
    std::vector<std::string> clips;
    CacheArguments cache;
    bool quiet = false;
    bool json = false;
    ReadFormat format = ReadFormat::csv;
    fs::path evidence;
};

std::string printed(const std::vector<Track>& tracks, ReadFormat format) {
    switch (format) {
        case ReadFormat::csv: return readings_csv(tracks);
        case ReadFormat::json: return readings_json(tracks);
        case ReadFormat::picture: break;
    }
    return readings_picture(tracks);
}

void tell_findings(const Track& track) {
    for (const Finding& finding : track.findings) {
        complain(wrapped(fmt::format("{} {}: {} {}", word(finding.severity),
                                     describe(finding.where), finding.what, finding.what_to_do),
                         2));
    }
}

// A folder for each clip, as `process` writes them.
bool write_evidence(const std::vector<Track>& tracks, const fs::path& folder) {
    std::vector<std::string> ids;
    ids.reserve(tracks.size());
    for (const Track& track : tracks) ids.push_back(fs::path(track.clip.name).stem().string());
    const std::vector<std::string> stems = file_stems(ids);
    for (std::size_t i = 0; i < tracks.size(); ++i) {
        std::error_code error;
        fs::create_directories(folder / stems[i], error);
        for (const NamedPicture& named : named_evidence(tracks[i])) {
            std::ofstream out(folder / stems[i] / named.name, std::ios::binary);
            out << named.picture->png;
            out.close();
            if (!out) {
                complain(fmt::format("{} could not be written: the disk may be full or read-only.",
                                     (folder / stems[i] / named.name).generic_string()));
                return false;
            }
        }
    }
    return true;
}

void expect_clips(const ReadArguments& arguments, Progress& progress) {
    for (const std::string& clip : arguments.clips) {
        std::error_code gone;
        const std::uintmax_t bytes = fs::file_size(clip, gone);
        progress.expect(clip, gone ? 0 : bytes);
    }
}

std::vector<Track> tracks_of(const ReadArguments& arguments, bool silent,
                             const std::stop_token& stop) {
    const TrackReader reader = reader_with(arguments.cache);
    Progress progress(progress_style(silent, false));
    expect_clips(arguments, progress);
    std::vector<Track> tracks;
    for (const std::string& clip : arguments.clips) {
        tracks.push_back(reader(clip, [&](double share) {
            if (stop.stop_requested()) throw Stopped();
            progress.show(clip, share);
        }));
        if (!arguments.evidence.empty()) add_evidence(clip, tracks.back());
        progress.show(clip, 1.0);
    }
    progress.finish();
    return tracks;
}

int tell_tracks(const ReadArguments& arguments, bool silent, const std::vector<Track>& tracks) {
    say(printed(tracks, arguments.json ? ReadFormat::json : arguments.format));
    const bool written = arguments.evidence.empty() || write_evidence(tracks, arguments.evidence);
    bool all_read = true;
    for (const Track& track : tracks) {
        all_read = all_read && track.format.has_value();
        if (!silent) tell_findings(track);
    }
    if (!written) return 3;
    return all_read ? 0 : 2;
}

int read_clips(const ReadArguments& arguments) {
    const StopOnSignal stop;
    const bool silent = arguments.quiet || arguments.json;
    try {
        return tell_tracks(arguments, silent, tracks_of(arguments, silent, stop.token()));
    } catch (const Stopped&) {
        if (!arguments.quiet) complain("Stopped. Clips that were read are in the cache.");
        return stop.exit_code();
    }
}

}  // namespace

void add_read_command(CLI::App& app, int& exit_code) {
    auto arguments = std::make_shared<ReadArguments>();
    CLI::App* command =
        app.add_subcommand("read", "Print the counter of clips at every sampled moment");
    command->add_option("CLIP", arguments->clips, "Footage files")->required();
    const std::map<std::string, ReadFormat> formats{
        {"csv", ReadFormat::csv}, {"json", ReadFormat::json}, {"picture", ReadFormat::picture}};
    command
        ->add_option("--format", arguments->format,
                     "csv (default), json, or picture: the counter over time as SVG")
        ->transform(CLI::CheckedTransformer(formats))
        ->option_text("FORMAT");
    command
        ->add_option("--evidence", arguments->evidence,
                     "Folder for pictures of the frames that the reading rests on")
        ->option_text("FOLDER");
    add_cache_options(*command, arguments->cache);
    command->add_flag("--quiet", arguments->quiet, "No progress and no findings on standard error");
    command->add_flag("--json", arguments->json, "The same as --format json --quiet");
    command->callback([arguments, &exit_code] { exit_code = read_clips(*arguments); });
}

}  // namespace sondeline::cli
