// How well the counter is read, over many invented clips whose truth is known.
//
// read_matrix [--half tuning|judged] [--first N] [--clips N] [--threads N] [--no-decode]
//             [--minutes N] [--tesseract N] [--cost SECONDS] [--keep FOLDER] [--list]
//
// Clips are drawn by number (matrix_clip.hpp), encoded, read by read_clip and held against their
// truth. --minutes begins no further clip after so long and sums up those done (0: all, the
// default); --no-decode leaves out the decoding by ffmpeg that CPU time is compared with;
// --tesseract has every N-th sample read by Tesseract too (0: none, the default; 1 takes about as
// long again as everything else); --cost measures, before anything else runs, the whole pass as a
// process against ffmpeg on clips of that length, one for each codec (0: not, the default); --keep
// keeps the clips; --list names them and stops.
//
// Per clip and per group: counter found, samples right, wrong readings in 10 000 reported, coverage
// of the samples that show a counter, furthest reading against the furthest shown in ticks, changes
// within one sample, unit wrong, CPU time over that of `ffmpeg -threads 1 -f null -`.

#include <algorithm>
#include <atomic>
#include <charconv>
#include <chrono>
#include <cstdio>
#include <mutex>
#include <string_view>
#include <thread>

#include <fmt/format.h>
#include <opencv2/core.hpp>
#include <unistd.h>

#include "bench/matrix_table.hpp"
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
    double minutes = 0.0;  // no clip is begun after these; 0: no end
    bool decode = true;
    bool list = false;
    int tesseract = 0;    // every so many samples; 0: none
    double cost_s = 0.0;  // length of the clips whose cost is measured; 0: none
    fs::path keep;

    fs::path folder() const {
        return keep.empty() ? fs::temp_directory_path() / fmt::format("matrix{}", getpid()) : keep;
    }
};

Outcome measure(const Wish& wish, std::uint64_t number) {
    Outcome outcome;
    outcome.clip = matrix_clip(wish.half, number);
    if (wish.list) return outcome;
    fs::create_directories(wish.folder());
    const fs::path clip = wish.folder() / fmt::format("{:03}.{}", number, outcome.clip.extension);
    if (!fs::exists(clip)) support::make_footage(outcome.clip.scenario, clip);
    std::vector<ShownAt> truth = truth_of(clip);
    const double before_s = thread_cpu_s();
    const Track track = read_clip(clip);
    outcome.cpu_s = thread_cpu_s() - before_s;
    if (wish.decode) outcome.decode_cpu_s = ffmpeg_decode_cpu_s(clip);
    outcome.score = score(track, truth);
    if (outcome.clip.has_counter) {
        outcome.peer = read_by_tesseract(clip, track, truth, wish.tesseract, outcome.cpu_s);
    }
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
            if (word == "--minutes") wish.minutes = number_of<double>(value);
            if (word == "--threads") wish.threads = number_of<unsigned>(value);
            if (word == "--tesseract") wish.tesseract = number_of<int>(value);
            if (word == "--cost") wish.cost_s = number_of<double>(value);
            if (word == "--keep") wish.keep = value;
            ++i;
        }
    }
    return wish;
}

std::vector<CodecCost> costs_of(const Wish& wish, const fs::path& program) {
    constexpr int kRepeats = 5;
    if (wish.cost_s <= 0.0) return {};
    const fs::path reader = fs::absolute(program).parent_path() / "read_once";
    std::vector<CodecCost> costs = codec_costs(wish.cost_s, kRepeats, wish.folder(), reader);
    print_costs(costs);
    std::fflush(stdout);
    return costs;
}

}  // namespace

int main(int count, char** words) {
    cv::setNumThreads(1);  // clips are made and read side by side instead
    const Wish wish = wish_of(count, words);
    print_head(wish.half, wish.tesseract);
    const std::vector<CodecCost> costs = costs_of(wish, words[0]);
    std::vector<Outcome> outcomes(wish.clips);
    std::vector<char> done(wish.clips, 0);
    std::atomic<std::uint64_t> next{0};
    std::mutex printing;
    std::uint64_t printed = 0;
    const auto begun = std::chrono::steady_clock::now();
    const auto time_left = [&] {
        const std::chrono::duration<double> gone = std::chrono::steady_clock::now() - begun;
        return wish.minutes <= 0.0 || gone.count() < 60.0 * wish.minutes;
    };
    const auto work = [&] {
        for (std::uint64_t i = next++; i < wish.clips && time_left(); i = next++) {
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
    outcomes.resize(printed);
    if (!wish.list) print_groups(outcomes);
    print_costs(costs);
    if (wish.keep.empty()) fs::remove_all(wish.folder());
    return 0;
}
