// How well the reader reads invented clips whose truth is known.
//
// read_accuracy [--no-peer] CLIP…   CLIP.truth.csv must stand beside each clip (made by
// make_footage; a clip without it counts as one that shows no counter).
//
// Per clip: format found; share of reported readings that are right; coverage of the samples in
// which the counter is shown; wrong readings per 10 000 reported; furthest reading minus the true
// one in ticks; CPU time over that of `ffmpeg -threads 1 -i CLIP -f null -`, the peer.

#include <algorithm>
#include <cstdio>
#include <string>

#include <fmt/format.h>

#include "bench/clip_score.hpp"

namespace {

using namespace sondeline;
using namespace sondeline::bench;

void print(const std::string& clip, const Track& track, const ClipScore& s, double cpu_s,
           double peer_s) {
    std::string doubts;
    for (const Finding& finding : track.findings) {
        if (finding.severity == Severity::problem) doubts = "  PROBLEM " + finding.what;
    }
    fmt::print(
        "{:28} {:12} {:5} samples, {:5.1f} % covered, {:6.2f} % right, {:6.1f} wrong/10k, "
        "reach {:>4}, {:5.2f} s cpu = {:4.2f} x ffmpeg{}\n",
        clip.substr(clip.rfind('/') + 1), track.format ? track.format->pattern : "-", s.samples,
        percent(s.readable_reported, s.readable), percent(s.reported - s.wrong, s.reported),
        100.0 * percent(s.wrong, s.reported),
        s.reach_off_ticks ? fmt::format("{:+.0f}", *s.reach_off_ticks) : "none", cpu_s,
        peer_s > 0.0 ? cpu_s / peer_s : 0.0, doubts);
    std::fflush(stdout);
}

}  // namespace

int main(int count, char** words) {
    bool peer = true;
    ClipScore all;
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
        const double before_s = thread_cpu_s();
        const Track track = read_clip(clip);
        const double cpu_s = thread_cpu_s() - before_s;
        const double peer_s = peer ? ffmpeg_decode_cpu_s(clip) : 0.0;
        const ClipScore s = score(track, truth_of(clip));
        print(clip, track, s, cpu_s, peer_s);
        ++clips;
        found += track.format ? 1 : 0;
        exact += s.reach_off_ticks == 0.0 ? 1 : 0;
        add(all, s);
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
