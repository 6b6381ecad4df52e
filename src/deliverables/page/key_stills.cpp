#include "deliverables/page/key_stills.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "footage/stills.hpp"

namespace sondeline {

namespace {

constexpr std::size_t most_of_a_clip = 12;
constexpr std::size_t most_of_a_page = 150;
constexpr double same_moment_s = 0.5;

struct Moment {
    double time_s = 0.0;  // of the run
    std::string words;
    double worth = 0.0;  // greater ones are kept
};

void add_moment(std::vector<Moment>& moments, Moment moment) {
    const auto same = std::ranges::find_if(moments, [&](const Moment& other) {
        return std::abs(other.time_s - moment.time_s) < same_moment_s;
    });
    if (same == moments.end()) {
        moments.push_back(std::move(moment));
        return;
    }
    if (same->words.find(moment.words) == std::string::npos) same->words += "; " + moment.words;
    same->worth = std::max(same->worth, moment.worth);
}

void add_reading(std::vector<Moment>& moments, const RunMotion& motion,
                 const std::optional<PushedReach>& reading, const char* words) {
    if (!reading) return;
    const auto clip = static_cast<std::size_t>(reading->clip);
    if (clip >= motion.clips.size()) return;
    add_moment(moments, {motion.clips[clip].start_s + reading->time_s, words, 4e9});
}

// What is known of a station, at the time when the head was there.
void add_stations(std::vector<Moment>& moments, const AsBuilt& as_built, std::size_t run,
                  const RunMotion& motion) {
    const AlignedRun& aligned = as_built.lines.runs[run];
    const double near_m = 2.0 * aligned.run.tick_m;
    const auto add = [&](double station_m, std::string words, double worth) {
        if (const auto time_s = time_at(motion, station_m, near_m)) {
            add_moment(moments, {*time_s, std::move(words), worth});
        }
    };
    for (std::size_t i = 0; i < as_built.site.notes.size(); ++i) {
        const SiteNote& note = as_built.site.notes[i];
        if (note.run != static_cast<int>(run)) continue;
        add(station_of_x(aligned, note.x_m), fmt::format("note {}", i + 1), 3e9);
    }
    for (const Belly& belly : as_built.profiles.runs[run].bellies) {
        add((belly.from_m + belly.to_m) / 2.0, "standing water", 2e9);
    }
}

std::vector<Moment> moments_of(const AsBuilt& as_built, std::size_t run, const RunMotion& motion) {
    std::vector<Moment> moments;
    const auto joined = as_built.run_tracks.find(as_built.lines.runs[run].run.id);
    if (joined == as_built.run_tracks.end()) return moments;
    add_reading(moments, motion, joined->second.first, "first reading");
    add_reading(moments, motion, joined->second.furthest, "furthest reach");
    if (motion.from_start) add_stations(moments, as_built, run, motion);
    for (const MotionClip& clip : motion.clips) {
        if (clip.track == nullptr) continue;
        for (const Hold& hold : clip.track->holds) {
            // What was found there shows the hold as well.
            const bool shown = std::ranges::any_of(moments, [&](const Moment& moment) {
                return moment.time_s > clip.start_s + hold.from_s - same_moment_s &&
                       moment.time_s < clip.start_s + hold.to_s + same_moment_s;
            });
            if (shown) continue;
            const double middle_s = clip.start_s + (hold.from_s + hold.to_s) / 2.0;
            add_moment(moments, {middle_s, "held still", hold.to_s - hold.from_s});
        }
    }
    return moments;
}

// Those within one clip, the worthiest `most`, in the order of time.
std::vector<Moment> moments_in(const std::vector<Moment>& moments, const RunMotion& motion,
                               std::size_t clip, std::size_t most) {
    const double from_s = motion.clips[clip].start_s;
    const double to_s = clip + 1 < motion.clips.size() ? motion.clips[clip + 1].start_s : 1e18;
    std::vector<Moment> inside;
    for (const Moment& moment : moments) {
        if (moment.time_s >= from_s && moment.time_s < to_s) inside.push_back(moment);
    }
    std::ranges::stable_sort(inside, std::ranges::greater{}, &Moment::worth);
    inside.resize(std::min(inside.size(), most));
    std::ranges::stable_sort(inside, {}, &Moment::time_s);
    return inside;
}

void add_stills(std::vector<KeyStill>& stills, const AsBuilt& as_built, const RunMotion& motion,
                std::size_t clip, const std::vector<Moment>& moments) {
    const MotionClip& shown = motion.clips[clip];
    const auto file = std::ranges::find(as_built.job.footage, shown.name, &FootageFile::name);
    if (file == as_built.job.footage.end()) return;
    std::vector<double> times_s;
    times_s.reserve(moments.size());
    for (const Moment& moment : moments) times_s.push_back(moment.time_s - shown.start_s);
    for (Still& still : take_stills(file->path, shown.track->clip, times_s)) {
        // The picture is the first at or after the time asked for.
        const auto after = std::ranges::upper_bound(times_s, still.time_s + 0.01);
        const auto index = static_cast<std::size_t>(after - times_s.begin());
        if (index == 0) continue;
        stills.push_back({clip, still.time_s, moments[index - 1].words, std::move(still.jpeg)});
    }
}

}  // namespace

bool browsers_play(const ClipDescription& clip) {
    using Kind = std::array<std::string_view, 2>;
    constexpr std::array<Kind, 7> played{{{"mp4", "h264"},
                                          {"mp4", "vp9"},
                                          {"mp4", "av1"},
                                          {"matroska", "vp8"},
                                          {"matroska", "vp9"},
                                          {"matroska", "av1"},
                                          {"ogg", "vp8"}}};
    return std::ranges::any_of(played, [&](const Kind& kind) {
        return kind[0] == clip.container && kind[1] == clip.codec;
    });
}

std::vector<std::vector<KeyStill>> key_stills(const AsBuilt& as_built,
                                              const std::vector<RunMotion>& motions) {
    const auto needs = [](const MotionClip& clip) {
        return clip.track != nullptr && !browsers_play(clip.track->clip);
    };
    std::size_t clips = 0;
    for (const RunMotion& motion : motions) {
        clips += static_cast<std::size_t>(std::ranges::count_if(motion.clips, needs));
    }
    const std::size_t most = std::clamp(most_of_a_page / std::max<std::size_t>(1, clips),
                                        std::size_t{1}, most_of_a_clip);
    std::vector<std::vector<KeyStill>> all(motions.size());
    for (std::size_t run = 0; run < motions.size(); ++run) {
        const RunMotion& motion = motions[run];
        if (std::ranges::none_of(motion.clips, needs)) continue;
        const std::vector<Moment> moments = moments_of(as_built, run, motion);
        for (std::size_t clip = 0; clip < motion.clips.size(); ++clip) {
            if (!needs(motion.clips[clip])) continue;
            add_stills(all[run], as_built, motion, clip, moments_in(moments, motion, clip, most));
        }
    }
    return all;
}

}  // namespace sondeline
