#include "cli/cache_options.hpp"

#include <CLI/CLI.hpp>

namespace sondeline::cli {

void add_cache_options(CLI::App& command, CacheArguments& arguments) {
    command
        .add_option("--cache", arguments.folder,
                    "Where readings of footage are kept; may be shared "
                    "(default: the user's cache folder)")
        ->option_text("FOLDER");
    command
        .add_option("--cache-size", arguments.gigabytes,
                    "Most GiB that this folder may take (default: 2)")
        ->check(CLI::Range(0.0, 1e6));
    command.add_flag("--no-cache", arguments.none, "Read all footage anew and keep nothing");
}

std::optional<TrackCache> cache_of(const CacheArguments& arguments) {
    TrackCache cache;
    cache.folder = arguments.folder.empty() ? default_cache_folder() : arguments.folder;
    cache.most_bytes = static_cast<std::uint64_t>(arguments.gigabytes * 1073741824.0);
    if (arguments.none || cache.folder.empty()) return std::nullopt;
    return cache;
}

TrackReader reader_with(const CacheArguments& arguments) {
    const TrackReader reader = [](const std::filesystem::path& clip, const ReadProgress& tell) {
        Track track = read_clip(clip, {}, tell);
        add_evidence(clip, track);
        return track;
    };
    auto cache = cache_of(arguments);
    return cache ? caching_reader(std::move(*cache), reader) : reader;
}

}  // namespace sondeline::cli
