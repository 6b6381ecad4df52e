// How well standing water is found in footage, measured on rendered clips.
//
// water_evidence [--half tuning|judged] [--first NUMBER] [--clips N] [--keep FOLDER] [--only-made]
//                [--no-cost] [--deepest SHARE]
//
// Renders the clips once (half of them without standing water, see bench/water_clip.hpp), reads
// them, and compares the stretches with what was drawn; then reads the real clips without a pipe
// that Debian packages ship (`.ci/install clips`), in which nothing may be claimed. Prints a row a
// clip, then recall and precision of stretches, errors of both ends and of the depth, how deep
// water has to be to be noticed (all pools are drawn SHARE of the diameter deep if asked), and the
// CPU of the whole reading pass with water over that without. Exit code 1 when a bar is missed.

#include <algorithm>
#include <array>
#include <cmath>
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
#include "bench/water_clip.hpp"
#include "bench/water_power.hpp"
#include "footage/frames.hpp"
#include "footage/water/water_log.hpp"
#include "footage/water/water_watch.hpp"
#include "support/footage.hpp"

namespace {

namespace fs = std::filesystem;
using namespace sondeline;
using bench::Half;
using bench::WaterClip;

constexpr double kDeepEnough = 0.10;  // of the diameter; shallower water need not be found
constexpr double kEndBar_m = 0.25;
constexpr double kDepthBar = 0.05;  // of the diameter

struct Score {
    int deep = 0;  // clips with water that must be found
    int deep_found = 0;
    int claims = 0;
    int true_claims = 0;
    std::vector<double> end_errors_m;
    std::vector<double> depth_errors;    // of the deepest, share of the diameter
    int deepest_withheld = 0;            // of the true claims
    std::vector<double> profile_errors;  // of every depth along the stretches
    int ends_within_bound = 0;
    int depths_within_two_sd = 0;
    bench::WaterPower power;
};

double station_m(const WaterClip& clip, double counter) {
    return (counter - clip.counter_at_start) * clip.counter_unit_m;
}

double deepest_of(const WaterStretch& stretch) {
    double deepest = 0.0;
    for (const WaterDepth& depth : stretch.depths) deepest = std::max(deepest, depth.share.value);
    return deepest;
}

// Adds what one claim is worth; true when it lies on drawn water.
bool score_claim(const WaterClip& clip, const WaterStretch& stretch, Score& score) {
    ++score.claims;
    const double from_m = station_m(clip, stretch.from);
    const double to_m = station_m(clip, stretch.to);
    if (!clip.water || from_m > clip.water->to_m || to_m < clip.water->from_m) return false;
    ++score.true_claims;
    const double from_off = from_m - clip.water->from_m;
    const double to_off = to_m - clip.water->to_m;
    score.end_errors_m.push_back(from_off);
    score.end_errors_m.push_back(to_off);
    score.ends_within_bound +=
        (std::abs(from_off) <= stretch.from_bound * clip.counter_unit_m ? 1 : 0) +
        (std::abs(to_off) <= stretch.to_bound * clip.counter_unit_m ? 1 : 0);
    if (stretch.deepest_unseen) {
        ++score.deepest_withheld;
    } else {
        score.depth_errors.push_back(deepest_of(stretch) - clip.water->deepest_ratio);
    }
    for (const WaterDepth& depth : stretch.depths) {
        const double off =
            depth.share.value - bench::drawn_ratio(clip.scenario, station_m(clip, depth.counter));
        score.profile_errors.push_back(off);
        score.depths_within_two_sd += std::abs(off) <= 2.0 * depth.share.sd ? 1 : 0;
    }
    return true;
}

void print_clip(std::uint64_t number, const WaterClip& clip, const Track& track, bool found,
                bool false_claim) {
    std::string claims;
    const auto stretches = track.water ? track.water->stretches : std::vector<WaterStretch>{};
    for (const WaterStretch& stretch : stretches) {
        claims += fmt::format(" [{:.2f} {:.2f} deepest {:.3f}{}{}{}]",
                              station_m(clip, stretch.from), station_m(clip, stretch.to),
                              deepest_of(stretch), stretch.from_seen ? "" : " no shore before",
                              stretch.to_seen ? "" : " no shore after",
                              stretch.depths.empty()   ? " lens unknown"
                              : stretch.deepest_unseen ? " deepest withheld"
                                                       : "");
    }
    const bool missed = clip.water && clip.water->deepest_ratio >= kDeepEnough && !found;
    fmt::print("{:3} {}{} | {} | seen{} | lens {:.2f} ({:.2f})\n", number,
               clip.held_out ? "held out, " : "", clip.words,
               clip.water ? fmt::format("drawn {:.2f} {:.2f} deepest {:.3f}", clip.water->from_m,
                                        clip.water->to_m, clip.water->deepest_ratio)
                          : std::string("dry"),
               claims.empty() ? std::string(" none") : claims,
               track.water && track.water->lens_height ? track.water->lens_height->value : 0.0,
               clip.scenario.camera.lens_height);
    if (missed) fmt::print("    MISSED\n");
    if (false_claim) fmt::print("    FALSE CLAIM\n");
    for (const Finding& finding : track.findings) {
        if (finding.what.find("ater") != std::string::npos) {
            fmt::print("    {}\n", finding.what);
        }
    }
    std::fflush(stdout);
}

double quantile(std::vector<double> values, double share) {
    if (values.empty()) return 0.0;
    for (double& value : values) value = std::abs(value);
    std::ranges::sort(values);
    return values[static_cast<std::size_t>(share * static_cast<double>(values.size() - 1))];
}

long within(const std::vector<double>& values, double bar) {
    return std::ranges::count_if(values, [bar](double v) { return std::abs(v) <= bar; });
}

bool judge(const Score& score, std::string_view words) {
    const double recall = score.deep > 0 ? 1.0 * score.deep_found / score.deep : 1.0;
    const double precision = score.claims > 0 ? 1.0 * score.true_claims / score.claims : 1.0;
    fmt::print("{}: recall {:.3f} ({} of {}; bar 0.90), precision {:.3f} ({} of {}; bar 0.95)\n",
               words, recall, score.deep_found, score.deep, precision, score.true_claims,
               score.claims);
    fmt::print(
        "  ends off: median {:.2f}, 90 % within {:.2f} m; {} of {} within 0.25 m, {} "
        "within their bound\n",
        quantile(score.end_errors_m, 0.5), quantile(score.end_errors_m, 0.9),
        within(score.end_errors_m, kEndBar_m), score.end_errors_m.size(), score.ends_within_bound);
    fmt::print(
        "  deepest off: median {:.3f}, 90 % within {:.3f} of the diameter; {} of {} within "
        "0.05, {} withheld\n",
        quantile(score.depth_errors, 0.5), quantile(score.depth_errors, 0.9),
        within(score.depth_errors, kDepthBar), score.depth_errors.size(), score.deepest_withheld);
    fmt::print(
        "  depth along: median {:.3f}, 90 % within {:.3f}; {} of {} within 0.05, {} within "
        "2 sd\n",
        quantile(score.profile_errors, 0.5), quantile(score.profile_errors, 0.9),
        within(score.profile_errors, kDepthBar), score.profile_errors.size(),
        score.depths_within_two_sd);
    return recall >= 0.90 && precision >= 0.95 && quantile(score.end_errors_m, 0.9) <= kEndBar_m &&
           quantile(score.depth_errors, 0.9) <= kDepthBar;
}

void add(const Score& from, Score& to) {
    to.deep += from.deep;
    to.deep_found += from.deep_found;
    to.claims += from.claims;
    to.true_claims += from.true_claims;
    to.ends_within_bound += from.ends_within_bound;
    to.depths_within_two_sd += from.depths_within_two_sd;
    to.deepest_withheld += from.deepest_withheld;
    const auto append = [](const std::vector<double>& more, std::vector<double>& all) {
        all.insert(all.end(), more.begin(), more.end());
    };
    append(from.end_errors_m, to.end_errors_m);
    append(from.depth_errors, to.depth_errors);
    append(from.profile_errors, to.profile_errors);
    to.power.add(from.power);
}

struct Cost {
    double with_s = 0.0;
    double without_s = 0.0;
};

Track timed_read(const fs::path& path, bool water, double& spent_s) {
    ReadOptions options;
    options.water = water;
    const double before_s = bench::thread_cpu_s();
    Track track = read_clip(path, options);
    spent_s += bench::thread_cpu_s() - before_s;
    return track;
}

// Which clips: those of the half from one number on.
struct Asked {
    Half half = Half::judged;
    std::uint64_t first = 0;
    std::uint64_t clips = 44;
    std::optional<double> deepest;  // of all pools; empty: as drawn by seed
};

Score read_one(const Asked& asked, std::uint64_t number, const fs::path& folder, Cost& cost) {
    WaterClip clip = bench::water_clip(asked.half, number);
    std::string name =
        fmt::format("{}{}", asked.half == Half::judged ? "judged" : "tuning", number);
    if (asked.deepest) {
        bench::set_deepest(*asked.deepest, clip);
        name += fmt::format("_{:.3f}", *asked.deepest);
    }
    const fs::path path = folder / (name + ".mp4");
    if (!fs::exists(path.string() + ".truth.csv")) support::make_footage(clip.scenario, path);
    if (cost.without_s >= 0.0) timed_read(path, false, cost.without_s);
    const Track track = timed_read(path, true, cost.with_s);
    Score score;
    bool found = false;
    bool false_claim = false;
    if (track.water) {
        for (const WaterStretch& stretch : track.water->stretches) {
            const bool right = score_claim(clip, stretch, score);
            found = found || right;
            false_claim = false_claim || !right;
        }
    }
    if (clip.water && clip.water->deepest_ratio >= kDeepEnough) {
        score.deep = 1;
        score.deep_found = found ? 1 : 0;
    }
    score.power.add(clip, track, found);
    print_clip(number, clip, track, found, false_claim);
    return score;
}

// What would be claimed if a counter ran in the picture: pushed at 0.2 m/s for a minute, then drawn
// back, and so on. Without one nothing is ever claimed.
bool claims_with_made_counter(const fs::path& path) {
    auto opened = FrameSource::open(path, {.key_frames_only = false, .per_s = 10});
    if (!opened.source) return false;
    Track track;
    track.format = CounterFormat{};
    track.format->unit = CounterUnit::metre;
    track.format->decimals = 2;
    std::optional<WaterWatch> watch;
    while (const auto frame = opened.source->next()) {
        if (!watch) watch.emplace(std::span<const PixelBox>{}, frame->luma.size());
        watch->take(frame->time_s, frame->luma);
        constexpr double kTurn_s = 60.0;
        constexpr double kSpeed_m_per_s = 0.2;
        const double there_s = std::fmod(frame->time_s, 2.0 * kTurn_s);
        const bool back = there_s > kTurn_s;
        const double counter = kSpeed_m_per_s * (back ? 2.0 * kTurn_s - there_s : there_s);
        track.samples.push_back(
            {frame->time_s, counter, 1.0, back ? CounterState::pull : CounterState::push, ""});
    }
    if (!watch) return false;
    keep_water(watch->finish(), track);
    return track.water && !track.water->stretches.empty();
}

// Clips without a pipe; nothing may be claimed of them, whatever their counter.
bool claims_of_others(const fs::path& folder) {
    bool any = false;
    for (const bench::ShippedClip& video : bench::shipped_clips(folder)) {
        const Track track = read_clip(video.path);
        const bool claimed = track.water && !track.water->stretches.empty();
        const bool with_counter = claims_with_made_counter(video.path);
        fmt::print("{:60} {}, with a made-up counter {}\n", video.words,
                   claimed ? "FALSE CLAIM" : "no claim", with_counter ? "FALSE CLAIM" : "no claim");
        any = any || claimed || with_counter;
    }
    return any;
}

}  // namespace

int main(int count, char** words) {
    cv::setNumThreads(1);
    fs::path folder;
    Asked asked;
    bool others = true;
    bool with_cost = true;
    for (int i = 1; i < count; ++i) {
        const std::string_view word = words[i];
        if (word == "--only-made") others = false;
        if (word == "--no-cost") with_cost = false;
        if (i + 1 >= count) continue;
        if (word == "--half")
            asked.half = std::string_view(words[i + 1]) == "tuning" ? Half::tuning : Half::judged;
        if (word == "--clips") asked.clips = std::strtoull(words[i + 1], nullptr, 10);
        if (word == "--first") asked.first = std::strtoull(words[i + 1], nullptr, 10);
        if (word == "--deepest") asked.deepest = std::strtod(words[i + 1], nullptr);
        if (word == "--keep") folder = words[i + 1];
    }
    const bool keep = !folder.empty();
    if (!keep) folder = fs::temp_directory_path() / fmt::format("water{}", getpid());
    fs::create_directories(folder);
    Score all;
    Score held_out;
    Cost cost;
    if (!with_cost) cost.without_s = -1.0;
    for (std::uint64_t number = asked.first; number < asked.first + asked.clips; ++number) {
        const WaterClip clip = bench::water_clip(asked.half, number);
        if (asked.deepest && !clip.water) continue;  // the same as without
        const Score score = read_one(asked, number, folder, cost);
        add(score, all);
        if (clip.held_out) add(score, held_out);
    }
    if (asked.half == Half::judged) judge(held_out, "looks never tuned on");
    bool good = judge(all, "all clips");
    all.power.print();
    if (with_cost) {
        fmt::print("CPU of the whole pass with water over that without: {:.2f} (bar 1.30)\n",
                   cost.with_s / std::max(1e-9, cost.without_s));
    }
    if (others) good = !claims_of_others(folder) && good;
    if (!keep) fs::remove_all(folder);
    return good ? 0 : 1;
}
