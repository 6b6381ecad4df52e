// How well the counter is read, over many invented clips whose truth is known.
//
// read_matrix [--half tuning|judged] [--first N] [--clips N] [--threads N] [--no-decode]
//             [--keep FOLDER] [--list]
//
// Clips are drawn by number (matrix_clip.hpp), encoded, read by read_clip and held against their
// truth. --no-decode leaves out the decoding by ffmpeg that CPU time is compared with; --keep keeps
// the clips; --list names them and stops.
//
// Per clip and per group: counter found, samples right, wrong readings in 10 000 reported, coverage
// of the samples that show a counter, furthest reading against the furthest shown in ticks, changes
// more than one sample late, unit wrong, CPU time over that of `ffmpeg -threads 1 -f null -`.

#include <algorithm>
#include <atomic>
#include <charconv>
#include <cstdio>
#include <map>
#include <mutex>
#include <string_view>
#include <thread>

#include <fmt/format.h>
#include <opencv2/core.hpp>
#include <unistd.h>

#include "bench/clip_score.hpp"
#include "bench/matrix_clip.hpp"
#include "support/footage.hpp"

namespace {

namespace fs = std::filesystem;
using namespace sondeline;
using namespace sondeline::bench;

struct Wish {
    Half half = Half::judged;
    std::uint64_t first = 0;
    std::uint64_t clips = 300;
    unsigned threads = 2;
    bool decode = true;
    bool list = false;
    fs::path keep;
};

struct Outcome {
    MatrixClip clip;
    ClipScore score;
    bool found = false;
    bool unit_wrong = false;
    std::string pattern;
    std::string doubts;
    double cpu_s = 0.0;
    double decode_cpu_s = 0.0;

    bool readable() const { return clip.has_counter; }
    bool reach_exact() const { return score.reach_off_ticks == 0.0; }
    bool reach_off() const {
        return score.reach_off_ticks && std::abs(*score.reach_off_ticks) > 1.0 && !score.warned;
    }
    bool structural() const { return (score.structurally_wrong() || unit_wrong) && !score.warned; }
};

Outcome measure(const Wish& wish, std::uint64_t number) {
    Outcome outcome;
    outcome.clip = matrix_clip(wish.half, number);
    if (wish.list) return outcome;
    const fs::path folder = wish.keep.empty()
                                ? fs::temp_directory_path() / fmt::format("matrix{}", getpid())
                                : wish.keep;
    fs::create_directories(folder);
    const fs::path clip = folder / fmt::format("{:03}.{}", number, outcome.clip.extension);
    if (!fs::exists(clip)) support::make_footage(outcome.clip.scenario, clip);
    std::vector<ShownAt> truth = truth_of(clip);
    const double before_s = thread_cpu_s();
    const Track track = read_clip(clip);
    outcome.cpu_s = thread_cpu_s() - before_s;
    if (wish.decode) outcome.decode_cpu_s = ffmpeg_decode_cpu_s(clip);
    outcome.score = score(track, truth);
    outcome.found = track.format.has_value();
    outcome.pattern = track.format ? track.format->pattern : "-";
    const CounterUnit read = track.format ? track.format->unit : CounterUnit::unknown;
    outcome.unit_wrong = read != CounterUnit::unknown && read != outcome.clip.unit &&
                         outcome.clip.unit != CounterUnit::unknown;
    for (const Finding& finding : track.findings) {
        if (finding.severity == Severity::info) continue;
        outcome.doubts += "\n      " + finding.what;
    }
    if (wish.keep.empty()) {
        for (const char* more : {"", ".truth.csv", ".boxes.csv"}) fs::remove(clip.string() + more);
    }
    return outcome;
}

void print_clip(std::uint64_t number, const Outcome& o) {
    const ClipScore& s = o.score;
    fmt::print(
        "{:03} {}{} {}\n      {:14} {:4} samples, {:5.1f} % covered, {} wrong, reach {}, "
        "{} of {} changes late{}{}, {:.2f} s = {:.2f} x decoding{}\n",
        number, o.clip.hard ? "hard" : "ordinary", o.clip.held_out ? ", unseen" : "", o.clip.words,
        o.pattern, s.samples, percent(s.readable_reported, s.readable), s.wrong,
        s.reach_off_ticks ? fmt::format("{:+.0f}", *s.reach_off_ticks) : "none", s.late, s.changes,
        o.unit_wrong ? ", UNIT WRONG" : "", o.structural() ? ", STRUCTURE WRONG" : "", o.cpu_s,
        o.decode_cpu_s > 0.0 ? o.cpu_s / o.decode_cpu_s : 0.0, o.doubts);
    std::fflush(stdout);
}

void print_group(const char* name, const std::vector<const Outcome*>& group) {
    if (group.empty()) return;
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
    fmt::print(
        "{:28} {:4} clips | found {:5.1f} % | covered {:6.2f} %, {} clips under 95 % | wrong "
        "{:6.1f} in 10 000, worst clip {} | structure {} | reach exact {:5.1f} %, off {} | "
        "late {:4.2f} % | {:.2f} x decoding\n",
        name, clips, percent(found, clips), percent(sum.readable_reported, sum.readable),
        clips - covered, 100.0 * percent(sum.wrong, sum.reported), worst, structural,
        percent(exact, clips), off, percent(sum.late, sum.changes),
        decode_s > 0.0 ? cpu_s / decode_s : 0.0);
}

void print_groups(const std::vector<Outcome>& outcomes) {
    const auto group = [&](auto&& belongs) {
        std::vector<const Outcome*> members;
        for (const Outcome& o : outcomes) {
            if (o.readable() && belongs(o)) members.push_back(&o);
        }
        return members;
    };
    for (const bool hard : {false, true}) {
        for (const bool unseen : {true, false}) {
            const std::string name = fmt::format("{}, {} faces", hard ? "hard" : "ordinary",
                                                 unseen ? "unseen" : "trained");
            print_group(name.c_str(), group([&](const Outcome& o) {
                            return o.clip.hard == hard && o.clip.held_out == unseen;
                        }));
        }
    }
    print_group("all", group([](const Outcome&) { return true; }));
    long without = 0, false_counters = 0;
    for (const Outcome& o : outcomes) {
        if (o.readable()) continue;
        ++without;
        false_counters += o.found ? 1 : 0;
    }
    fmt::print("clips without a counter: {}, read as one: {}\n", without, false_counters);
}

template <class Number>
Number number_of(std::string_view text) {
    Number number = 0;
    std::from_chars(text.data(), text.data() + text.size(), number);
    return number;
}

Wish wish_of(int count, char** words) {
    Wish wish;
    for (int i = 1; i < count; ++i) {
        const std::string_view word = words[i];
        const std::string_view value = i + 1 < count ? words[i + 1] : "";
        if (word == "--no-decode") {
            wish.decode = false;
        } else if (word == "--list") {
            wish.list = true;
        } else {
            if (word == "--half") wish.half = value == "tuning" ? Half::tuning : Half::judged;
            if (word == "--first") wish.first = number_of<std::uint64_t>(value);
            if (word == "--clips") wish.clips = number_of<std::uint64_t>(value);
            if (word == "--threads") wish.threads = number_of<unsigned>(value);
            if (word == "--keep") wish.keep = value;
            ++i;
        }
    }
    return wish;
}

}  // namespace

int main(int count, char** words) {
    cv::setNumThreads(1);  // clips are made and read side by side instead
    const Wish wish = wish_of(count, words);
    std::vector<Outcome> outcomes(wish.clips);
    std::vector<char> done(wish.clips, 0);
    std::atomic<std::uint64_t> next{0};
    std::mutex printing;
    std::uint64_t printed = 0;
    const auto work = [&] {
        for (std::uint64_t i = next++; i < wish.clips; i = next++) {
            outcomes[i] = measure(wish, wish.first + i);
            const std::scoped_lock lock(printing);
            done[i] = 1;
            for (; printed < wish.clips && done[printed] != 0; ++printed) {
                print_clip(wish.first + printed, outcomes[printed]);
            }
        }
    };
    std::vector<std::thread> helpers;
    for (unsigned i = 0; i < std::max(1U, wish.threads); ++i) helpers.emplace_back(work);
    for (std::thread& helper : helpers) helper.join();
    if (!wish.list) print_groups(outcomes);
    return 0;
}
