#include "bench/shipped_clips.hpp"

#include <cstdlib>

#include <fmt/format.h>

namespace sondeline::bench {

namespace {

namespace fs = std::filesystem;

// Packages and files. Left out: those that show a film or a person.
constexpr const char* kShipped[][2] = {
    {"opencv-doc", "/usr/share/doc/opencv-doc/examples/data/vtest.avi"},
    {"opencv-doc", "/usr/share/doc/opencv-doc/examples/data/tree.avi"},
    {"opencv-doc", "/usr/share/doc/opencv-doc/opencv4/html/box.mp4.gz"},
    {"opencv-doc", "/usr/share/doc/opencv-doc/opencv4/html/cup.mp4.gz"},
    {"gem-doc", "/usr/share/gem/examples/data/alea.mpg"},
    {"gem-doc", "/usr/share/gem/examples/data/anim-1.mov"},
    {"forensics-samples-files",
     "/usr/share/forensics-samples/original-files/movie1/VID_20191220_170832.mp4"},
};

}  // namespace

std::vector<ShippedClip> shipped_clips(const std::filesystem::path& folder) {
    std::vector<ShippedClip> videos;
    for (const auto& [package, file] : kShipped) {
        const fs::path path = file;
        if (!fs::exists(path)) {
            fmt::print("left out, not installed (.ci/install clips): {} of {}\n",
                       path.filename().string(), package);
            continue;
        }
        fs::path readable = path;
        if (path.extension() == ".gz") {
            readable = folder / path.stem();
            const std::string unpack =
                fmt::format("gzip -dc '{}' > '{}'", path.string(), readable.string());
            if (std::system(unpack.c_str()) != 0) continue;
        }
        videos.push_back({fmt::format("{}: {}", package, path.filename().string()), readable});
    }
    return videos;
}

}  // namespace sondeline::bench
