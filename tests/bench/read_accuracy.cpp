// How well the reader reads invented clips whose truth is known.
//
// read_accuracy [--no-peer] CLIP…   CLIP.truth.csv must stand beside each clip (made by
// make_footage; a clip without it counts as one that shows no counter).
//
// Per clip: format found; share of reported readings that are right; coverage of the samples in
// which the counter is shown; wrong readings per 10 000 reported; furthest reading minus the true
// one in ticks; CPU time over that of `ffmpeg -threads 1 -i CLIP -f null -`, the peer.

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <optional>
#include <sstream>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include "sondeline/footage.hpp"

namespace {

using sondeline::CounterSample;
using sondeline::Track;

struct Truth {
    double time_s = 0.0;
    std::vector<double> shown;  // of either field; empty when nothing can be seen
};

std::vector<Truth> truth_of(const std::string& clip) {
    std::vector<Truth> truth;
    std::ifstream file(clip + ".truth.csv");
    std::string line;
    std::getline(file, line);
    while (std::getline(file, line)) {
        std::vector<std::string> cells(6);
        std::istringstream words(line);
        for (std::string& cell : cells) std::getline(words, cell, ',');
        Truth row;
        row.time_s = std::stod(cells[1]);
        for (const std::string& cell : {cells[2], cells[5]}) {
            if (!cell.empty()) row.shown.push_back(std::stod(cell));
        }
        truth.push_back(std::move(row));
    }
    return truth;
}

const Truth& at_time(const std::vector<Truth>& truth, double time_s) {
    const auto after = std::lower_bound(truth.begin(), truth.end(), time_s,
                                        [](const Truth& t, double at) { return t.time_s < at; });
    if (after == truth.begin()) return *after;
    if (after == truth.end()) return truth.back();
    return after->time_s - time_s < time_s - (after - 1)->time_s ? *after : *(after - 1);
}

double seconds(const rusage& usage) {
    return static_cast<double>(usage.ru_utime.tv_sec + usage.ru_stime.tv_sec) +
           1e-6 * static_cast<double>(usage.ru_utime.tv_usec + usage.ru_stime.tv_usec);
}

double own_cpu_s() {
    rusage usage{};
    getrusage(RUSAGE_SELF, &usage);
    return seconds(usage);
}

double ffmpeg_cpu_s(const std::string& clip) {
    const pid_t child = fork();
    if (child == 0) {
        execlp("ffmpeg", "ffmpeg", "-v", "quiet", "-nostdin", "-threads", "1", "-i", clip.c_str(),
               "-an", "-f", "null", "-", nullptr);
        _exit(127);
    }
    int status = 0;
    rusage usage{};
    if (child < 0 || wait4(child, &status, 0, &usage) != child) return 0.0;
    return seconds(usage);
}

struct Score {
    long samples = 0;
    long readable = 0;
    long reported = 0;
    long readable_reported = 0;
    long wrong = 0;
    std::optional<double> furthest_off_ticks;
};

Score score(const Track& track, const std::vector<Truth>& truth) {
    Score result;
    const double tick = track.format ? track.format->tick() : 0.1;
    std::optional<double> furthest_read;
    std::optional<double> furthest_shown;
    for (const Truth& row : truth) {
        for (const double shown : row.shown) {
            furthest_shown = std::max(furthest_shown.value_or(shown), shown);
        }
    }
    for (const CounterSample& sample : track.samples) {
        ++result.samples;
        const std::vector<double> shown =
            truth.empty() ? std::vector<double>{} : at_time(truth, sample.time_s).shown;
        result.readable += shown.empty() ? 0 : 1;
        if (!sample.counter) continue;
        ++result.reported;
        result.readable_reported += shown.empty() ? 0 : 1;
        furthest_read = std::max(furthest_read.value_or(*sample.counter), *sample.counter);
        const bool right = std::any_of(shown.begin(), shown.end(), [&](double value) {
            return std::abs(value - *sample.counter) < 0.5 * tick;
        });
        result.wrong += right ? 0 : 1;
    }
    if (furthest_read && furthest_shown) {
        result.furthest_off_ticks = std::round((*furthest_read - *furthest_shown) / tick);
    }
    return result;
}

void print(const std::string& clip, const Track& track, const Score& s, double cpu_s,
           double peer_s) {
    const auto share = [](long part, long whole) {
        return whole > 0 ? 100.0 * static_cast<double>(part) / static_cast<double>(whole) : 0.0;
    };
    std::string doubts;
    for (const sondeline::Finding& finding : track.findings) {
        if (finding.severity == sondeline::Severity::problem) doubts = "  PROBLEM " + finding.what;
    }
    fmt::print(
        "{:28} {:12} {:5} samples, {:5.1f} % covered, {:6.2f} % right, {:6.1f} wrong/10k, "
        "reach {:>4}, {:5.2f} s cpu = {:4.2f} x ffmpeg{}\n",
        clip.substr(clip.rfind('/') + 1), track.format ? track.format->pattern : "-", s.samples,
        share(s.readable_reported, s.readable), share(s.reported - s.wrong, s.reported),
        100.0 * share(s.wrong, s.reported),
        s.furthest_off_ticks ? fmt::format("{:+.0f}", *s.furthest_off_ticks) : "none", cpu_s,
        peer_s > 0.0 ? cpu_s / peer_s : 0.0, doubts);
    std::fflush(stdout);
}

}  // namespace

int main(int count, char** words) {
    bool peer = true;
    Score all;
    double cpu_sum_s = 0.0;
    double peer_sum_s = 0.0;
    long found = 0;
    long exact = 0;
    long clips = 0;
    for (int i = 1; i < count; ++i) {
        const std::string clip = words[i];
        if (clip == "--no-peer") {
            peer = false;
            continue;
        }
        const double before_s = own_cpu_s();
        const Track track = sondeline::read_clip(clip);
        const double cpu_s = own_cpu_s() - before_s;
        const double peer_s = peer ? ffmpeg_cpu_s(clip) : 0.0;
        const Score s = score(track, truth_of(clip));
        print(clip, track, s, cpu_s, peer_s);
        ++clips;
        found += track.format ? 1 : 0;
        exact += s.furthest_off_ticks == 0.0 ? 1 : 0;
        all.readable += s.readable;
        all.reported += s.reported;
        all.readable_reported += s.readable_reported;
        all.wrong += s.wrong;
        cpu_sum_s += cpu_s;
        peer_sum_s += peer_s;
    }
    const double reported = static_cast<double>(std::max(all.reported, 1L));
    fmt::print(
        "{} clips, {} with a counter, {} with the furthest reading exact; coverage {:.2f} "
        "%; {:.1f} wrong in 10000 reported; CPU {:.2f} x ffmpeg\n",
        clips, found, exact,
        100.0 * static_cast<double>(all.readable_reported) /
            static_cast<double>(std::max(all.readable, 1L)),
        10000.0 * static_cast<double>(all.wrong) / reported,
        peer_sum_s > 0.0 ? cpu_sum_s / peer_sum_s : 0.0);
    return 0;
}
