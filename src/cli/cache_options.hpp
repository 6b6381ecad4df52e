// The options --cache and --no-cache of every command that reads footage.
#pragma once

#include <CLI/App.hpp>

#include "sondeline/service.hpp"

namespace sondeline::cli {

struct CacheArguments {
    std::filesystem::path folder;  // empty: the user's
    bool none = false;
    double gigabytes = 2.0;
};

void add_cache_options(CLI::App& command, CacheArguments& arguments);

// Empty when no cache is wanted, or there is no place for one.
std::optional<TrackCache> cache_of(const CacheArguments& arguments);

// read_clip, behind the cache that was asked for.
TrackReader reader_with(const CacheArguments& arguments);

}  // namespace sondeline::cli
