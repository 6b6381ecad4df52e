#include "bench/matrix_table.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace sondeline::bench {

namespace {

using Group = std::vector<const Outcome*>;

constexpr double kFewerWrong = 20.0;  // bars of the comparison with the peer
constexpr double kLessCpu = 40.0;

const char* verdict(bool kept) {
    return kept ? "kept" : "MISSED";
}

// The bars of a group: ordinary, hard.
struct Bars {
    double wrong_in_10000;
    double covered;
    double reach_exact;
};

void print_row(const std::string& name, const Group& group, const Bars& bars) {
    ClipScore sum;
    long found = 0, exact = 0, off = 0, structural = 0, worst = 0, covered = 0;
    double cpu_s = 0.0, decode_s = 0.0;
    for (const Outcome* o : group) {
        add(sum, o->score);
        found += o->found ? 1 : 0;
        exact += o->reach_exact() ? 1 : 0;
        off += o->reach_off() ? 1 : 0;
        structural += o->structural() ? 1 : 0;
        worst = std::max(worst, o->score.wrong);
        covered += 100 * o->score.readable_reported >= 95 * o->score.readable ? 1 : 0;
        cpu_s += o->cpu_s;
        decode_s += o->decode_cpu_s;
    }
    const auto clips = static_cast<long>(group.size());
    const double wrong = 100.0 * percent(sum.wrong, sum.reported);
    const double in_time = 100.0 - percent(sum.late, sum.changes);
    fmt::print(
        "{:26} {:4} clips | found {:5.1f} % | covered {:6.2f} % ({} {:g}), {} clips under 95 % | "
        "wrong {:6.1f} in 10 000 ({} {:g}), worst clip {} | structure wrong {} ({} 0) | reach "
        "exact {:5.1f} % ({} {:g}), off unsaid {} ({} 0) | change within one sample {:6.2f} % ({} "
        "99) | {:.2f} x decoding\n",
        name, clips, percent(found, clips), percent(sum.readable_reported, sum.readable),
        verdict(percent(sum.readable_reported, sum.readable) >= bars.covered), bars.covered,
        clips - covered, wrong, verdict(wrong <= bars.wrong_in_10000), bars.wrong_in_10000, worst,
        structural, verdict(structural == 0), percent(exact, clips),
        verdict(percent(exact, clips) >= bars.reach_exact), bars.reach_exact, off,
        verdict(off == 0), in_time, verdict(in_time >= 99.0),
        decode_s > 0.0 ? cpu_s / decode_s : 0.0);
}

void print_side(const char* name, const ClipScore& s) {
    fmt::print("    {:24} right {:7} | wrong {:6} | missing {:6} of {} that show a counter\n", name,
               s.reported - s.wrong, s.wrong, s.readable - s.readable_reported, s.readable);
}

void print_peer(const Group& group) {
    PeerColumn sum;
    for (const Outcome* o : group) {
        if (o->peer) add(sum, *o->peer);
    }
    if (sum.crops == 0) return;
    print_side("ours", sum.ours);
    print_side("Tesseract, as read", sum.as_read);
    print_side("Tesseract, smoothed", sum.smoothed);
    const double ours_s = sum.ours_cpu_s / static_cast<double>(std::max(1L, sum.our_samples));
    const double peer_s = sum.peer_cpu_s / static_cast<double>(sum.crops);
    const double cheaper = ours_s > 0.0 ? peer_s / ours_s : 0.0;
    // Wrong readings in what each reports: one that reports hardly anything is not better for it.
    const auto share = [](const ClipScore& s) {
        return percent(std::max(1L, s.wrong), std::max(1L, s.reported));
    };
    const double fewer_raw = share(sum.as_read) / share(sum.ours);
    const double fewer = share(sum.smoothed) / share(sum.ours);
    fmt::print(
        "    {:.1f} x fewer wrong than as read, {}{:.1f} x fewer than smoothed ({} {:g}; of "
        "what each reports) | CPU per reading: ours {:.0f} us, Tesseract {:.0f} us: {:.1f} x "
        "less ({} {:g})\n",
        fewer_raw, sum.ours.wrong == 0 ? "at least " : "", fewer, verdict(fewer >= kFewerWrong),
        kFewerWrong, 1e6 * ours_s, 1e6 * peer_s, cheaper, verdict(cheaper >= kLessCpu), kLessCpu);
}

}  // namespace

bool Outcome::reach_off() const {
    return score.reach_off_ticks && std::abs(*score.reach_off_ticks) > 1.0 && !score.warned;
}

void print_head(Half half, int tesseract_every) {
    fmt::print("Half: {}. Families of faces never trained on that it shows: {}.\n",
               half == Half::judged ? "judged" : "tuning", fmt::join(unseen_families(half), ", "));
    if (tesseract_every > 0) {
        fmt::print("{}\nTesseract was given {}.\n", peer_words(),
                   tesseract_every == 1 ? std::string("every sample")
                                        : fmt::format("one sample in {}", tesseract_every));
    }
    fmt::print("Bars stand in brackets; clips of faces that were trained on have the same ones.\n");
    std::fflush(stdout);
}

void print_clip(std::uint64_t number, const Outcome& o) {
    const ClipScore& s = o.score;
    const std::string peer =
        o.peer ? fmt::format(", Tesseract {} + {} of {} wrong", o.peer->as_read.wrong,
                             o.peer->smoothed.wrong, o.peer->crops)
               : "";
    fmt::print(
        "{:03} {}{} {}\n      {:14} {:4} samples, {:5.1f} % covered, {} wrong, reach {}, "
        "{} of {} changes late{}{}, {:.2f} s = {:.2f} x decoding{}{}\n",
        number, o.clip.hard ? "hard" : "ordinary", o.clip.held_out ? ", unseen" : "", o.clip.words,
        o.pattern, s.samples, percent(s.readable_reported, s.readable), s.wrong,
        s.reach_off_ticks ? fmt::format("{:+.0f}", *s.reach_off_ticks) : "none", s.late, s.changes,
        o.unit_wrong ? ", UNIT WRONG" : "", o.structural() ? ", STRUCTURE WRONG" : "", o.cpu_s,
        o.decode_cpu_s > 0.0 ? o.cpu_s / o.decode_cpu_s : 0.0, peer, o.doubts);
    std::fflush(stdout);
}

void print_groups(const std::vector<Outcome>& outcomes) {
    const auto print_group = [&](const std::string& name, const Bars& bars, auto&& belongs) {
        Group members;
        for (const Outcome& o : outcomes) {
            if (o.readable() && belongs(o)) members.push_back(&o);
        }
        if (members.empty()) return;
        print_row(name, members, bars);
        print_peer(members);
    };
    constexpr Bars kOrdinary{2.0, 99.0, 99.0};
    constexpr Bars kHard{15.0, 95.0, 95.0};
    for (const bool hard : {false, true}) {
        for (const bool unseen : {true, false}) {
            print_group(fmt::format("{}, {} faces", hard ? "hard" : "ordinary",
                                    unseen ? "unseen" : "trained"),
                        hard ? kHard : kOrdinary, [&](const Outcome& o) {
                            return o.clip.hard == hard && o.clip.held_out == unseen;
                        });
        }
    }
    print_group("all", kHard, [](const Outcome&) { return true; });
    long without = 0, false_counters = 0;
    for (const Outcome& o : outcomes) {
        if (o.readable()) continue;
        ++without;
        false_counters += o.found ? 1 : 0;
    }
    fmt::print("clips without a counter: {}, read as one: {} ({} 0)\n", without, false_counters,
               verdict(false_counters == 0));
}

void print_costs(const std::vector<CodecCost>& costs) {
    for (const CodecCost& cost : costs) {
        const double times = cost.decode_s > 0.0 ? cost.read_s / cost.decode_s : 0.0;
        const double watched = cost.decode_s > 0.0 ? cost.water_s / cost.decode_s : 0.0;
        fmt::print(
            "whole pass, {}: {:.2f} s | ffmpeg -threads 1 -f null - {:.2f} s | {:.2f} x ({} {:g}) "
            "| with the search for water {:.2f} x\n",
            cost.words, cost.read_s, cost.decode_s, times,
            verdict(times > 0.0 && times <= cost.bar), cost.bar, watched);
    }
}

}  // namespace sondeline::bench
