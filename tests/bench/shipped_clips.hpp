// Real videos that Debian packages ship (`.ci/install clips`): no pipe and no reel counter in them.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace sondeline::bench {

struct ShippedClip {
    std::string words;
    std::filesystem::path path;
};

// Those that are installed, unpacked into `folder` where they are packed; others are named.
std::vector<ShippedClip> shipped_clips(const std::filesystem::path& folder);

}  // namespace sondeline::bench
