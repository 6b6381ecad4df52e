// How often a counter is seen where there is none.
//
// false_counters [--keep FOLDER] [--only-made]
//
// Reads videos that show no reel counter and prints what was found in each: invented ones with
// every kind of company (clock, date, title with digits, elapsed time, frame number, a wandering
// figure, a logo, a scene of plain pipe, a camera that stands still), and the real clips that
// Debian packages ship (`.ci/install clips`; a clip that is not installed is named and left out).
// Exit code 1 when any counter was found.

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <string_view>
#include <vector>

#include <fmt/format.h>
#include <opencv2/core.hpp>
#include <unistd.h>

#include "sondeline/footage.hpp"

#include "bench/clip_score.hpp"
#include "bench/shipped_clips.hpp"
#include "support/footage.hpp"

namespace {

namespace fs = std::filesystem;
using namespace sondeline;
using support::Codec;
using support::FieldRole;
using support::StoryAction;

using Video = bench::ShippedClip;

support::OverlayField field(FieldRole role, int x, int y, const char* text = "") {
    support::OverlayField made;
    made.role = role;
    made.text = text;
    made.x = x;
    made.y = y;
    made.ink.outline_px = 2;
    return made;
}

support::StoryStep step(StoryAction action, double to_m, double for_s) {
    support::StoryStep made;
    made.action = action;
    made.to_m = to_m;
    made.for_s = for_s;
    return made;
}

struct Invented {
    const char* words;
    support::OverlaySet overlay;
    bool moving = true;
    Codec codec = Codec::h264;
    const char* extension = "mp4";
};

std::vector<Invented> inventions() {
    using enum FieldRole;
    const auto face = [](support::OverlayField made, const char* file) {
        made.face = file;
        return made;
    };
    return {
        {"plain pipe, no overlay", {}},
        {"clock", {field(clock, -30, 20)}, true, Codec::mpeg2, "mpg"},
        {"clock and date", {field(clock, -30, 20), field(date, 30, 20, "14/05/2026")}},
        {"clock, camera stands still", {field(clock, -30, 20)}, false},
        {"title with digits",
         {field(title, 30, 20, "LINE 12  JOB 2047-3")},
         true,
         Codec::mjpeg,
         "avi"},
        {"title like a reading", {field(title, 30, -24, "0012.4 ft")}},
        {"elapsed time", {field(elapsed, 30, -24)}, true, Codec::mpeg4, "avi"},
        {"frame number", {field(frame_number, 30, -24)}},
        {"wandering figure beside a clock",
         {field(decoy, 30, -24, "BAT %"), field(clock, -30, 20)}},
        {"wandering figure with a unit's letter", {field(decoy, 30, -24, "% M")}},
        {"wandering figure alone, bitmap face",
         {face(field(decoy, 30, -24, "%"), "terminus-normal.otb")},
         true,
         Codec::h264_baseline,
         "mov"},
        {"words as a logo", {field(title, 30, 20, "CLEAR DRAINS")}, false, Codec::mpeg2, "vob"},
        {"segments, elapsed time", {face(field(elapsed, 30, -24), "DSEG7Classic-Regular.ttf")}},
    };
}

support::Scenario scenario_of(const Invented& invented, std::uint64_t seed) {
    support::Scenario scenario;
    scenario.seed = seed;
    scenario.pipe.material = static_cast<support::Material>(seed % 4);
    scenario.encoding.codec = invented.codec;
    if (!invented.overlay.empty()) scenario.overlays = {invented.overlay};
    if (invented.moving) {
        scenario.story = {step(StoryAction::hold, 0, 2), step(StoryAction::push, 2, 0),
                          step(StoryAction::hold, 0, 3), step(StoryAction::pull, 1, 0),
                          step(StoryAction::push, 3, 0)};
    } else {
        scenario.story = {step(StoryAction::hold, 0, 25)};
    }
    return scenario;
}

std::vector<Video> made_videos(const fs::path& folder) {
    std::vector<Video> videos;
    std::uint64_t seed = 500;
    for (const Invented& invented : inventions()) {
        const fs::path clip = folder / fmt::format("none{}.{}", seed, invented.extension);
        if (!fs::exists(clip)) support::make_footage(scenario_of(invented, seed), clip);
        videos.push_back({fmt::format("invented: {}", invented.words), clip});
        ++seed;
    }
    return videos;
}

bool reads_a_counter(const Video& video) {
    const double before_s = bench::thread_cpu_s();
    const Track track = read_clip(video.path);
    const auto reported =
        std::count_if(track.samples.begin(), track.samples.end(),
                      [](const CounterSample& s) { return s.counter.has_value(); });
    fmt::print("{:52} {:5} samples, {} lines of text | {} | {:.1f} s\n", video.words,
               track.samples.size(), track.other_fields.size() + (track.format ? 1 : 0),
               track.format
                   ? fmt::format("FALSE COUNTER {}, {} readings", track.format->pattern, reported)
                   : std::string("no counter"),
               bench::thread_cpu_s() - before_s);
    std::fflush(stdout);
    return track.format.has_value();
}

}  // namespace

int main(int count, char** words) {
    cv::setNumThreads(1);
    fs::path folder;
    bool shipped = true;
    for (int i = 1; i < count; ++i) {
        const std::string_view word = words[i];
        if (word == "--only-made") shipped = false;
        if (word == "--keep" && i + 1 < count) folder = words[++i];
    }
    const bool keep = !folder.empty();
    if (!keep) folder = fs::temp_directory_path() / fmt::format("no_counter{}", getpid());
    fs::create_directories(folder);
    std::vector<Video> videos = made_videos(folder);
    if (shipped) {
        for (Video& video : bench::shipped_clips(folder)) videos.push_back(std::move(video));
    }
    long found = 0;
    for (const Video& video : videos) found += reads_a_counter(video) ? 1 : 0;
    fmt::print("{} videos without a counter, read as one: {} (bar 0)\n", videos.size(), found);
    if (!keep) fs::remove_all(folder);
    return found == 0 ? 0 : 1;
}
