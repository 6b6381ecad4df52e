#include "bench/clip_score.hpp"

#include <algorithm>
#include <cmath>
#include <ctime>
#include <fstream>
#include <sstream>

#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

namespace sondeline::bench {

namespace {

const ShownAt& at_time(const std::vector<ShownAt>& truth, double time_s) {
    const auto after = std::lower_bound(truth.begin(), truth.end(), time_s,
                                        [](const ShownAt& t, double at) { return t.time_s < at; });
    if (after == truth.begin()) return *after;
    if (after == truth.end()) return truth.back();
    return after->time_s - time_s < time_s - (after - 1)->time_s ? *after : *(after - 1);
}

bool among(const std::vector<double>& shown, double value, double tick) {
    return std::ranges::any_of(shown, [&](double s) { return std::abs(s - value) < 0.5 * tick; });
}

// A reading that is wrong at its own time but right at a neighbour's: a change placed one sample
// off is not late, two samples off is.
void judge_changes(const Track& track, const std::vector<ShownAt>& truth, double tick,
                   ClipScore& result) {
    const auto& samples = track.samples;
    for (std::size_t i = 1; i + 1 < samples.size(); ++i) {
        const auto before = at_time(truth, samples[i - 1].time_s).shown;
        const auto here = at_time(truth, samples[i].time_s).shown;
        if (before.empty() || here.empty() || !samples[i - 1].counter || !samples[i].counter ||
            !samples[i + 1].counter || among(before, here.front(), tick)) {
            continue;
        }
        ++result.changes;
        const bool near = among(here, *samples[i].counter, tick) ||
                          among(here, *samples[i - 1].counter, tick) ||
                          among(here, *samples[i + 1].counter, tick);
        result.late += near ? 0 : 1;
    }
}

}  // namespace

std::vector<ShownAt> truth_of(const std::filesystem::path& clip) {
    std::vector<ShownAt> truth;
    std::ifstream file(clip.string() + ".truth.csv");
    std::string line;
    std::getline(file, line);
    while (std::getline(file, line)) {
        std::vector<std::string> cells(6);
        std::istringstream words(line);
        for (std::string& cell : cells) std::getline(words, cell, ',');
        ShownAt row;
        row.time_s = std::stod(cells[1]);
        for (const std::string& cell : {cells[2], cells[5]}) {
            if (!cell.empty()) row.shown.push_back(std::stod(cell));
        }
        truth.push_back(std::move(row));
    }
    return truth;
}

ClipScore score(const Track& track, const std::vector<ShownAt>& truth) {
    ClipScore result;
    const double tick = track.format ? track.format->tick() : 0.1;
    std::optional<double> furthest_read;
    std::optional<double> furthest_shown;
    for (const ShownAt& row : truth) {
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
        result.wrong += among(shown, *sample.counter, tick) ? 0 : 1;
    }
    if (furthest_read && furthest_shown) {
        result.reach_off_ticks = std::round((*furthest_read - *furthest_shown) / tick);
    }
    if (!truth.empty()) judge_changes(track, truth, tick, result);
    result.warned = std::ranges::any_of(
        track.findings, [](const Finding& f) { return f.severity != Severity::info; });
    result.doubted = std::ranges::any_of(
        track.findings, [](const Finding& f) { return f.severity == Severity::problem; });
    return result;
}

void add(ClipScore& sum, const ClipScore& more) {
    sum.samples += more.samples;
    sum.readable += more.readable;
    sum.reported += more.reported;
    sum.readable_reported += more.readable_reported;
    sum.wrong += more.wrong;
    sum.changes += more.changes;
    sum.late += more.late;
}

double thread_cpu_s() {
    timespec now{};
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
    return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

double process_cpu_s(const std::vector<std::string>& command) {
    std::vector<char*> words;
    for (const std::string& word : command) words.push_back(const_cast<char*>(word.c_str()));
    words.push_back(nullptr);
    const pid_t child = fork();
    if (child == 0) {
        execvp(words.front(), words.data());
        _exit(127);
    }
    int status = 0;
    rusage usage{};
    if (child < 0 || wait4(child, &status, 0, &usage) != child) return 0.0;
    return static_cast<double>(usage.ru_utime.tv_sec + usage.ru_stime.tv_sec) +
           1e-6 * static_cast<double>(usage.ru_utime.tv_usec + usage.ru_stime.tv_usec);
}

double ffmpeg_decode_cpu_s(const std::filesystem::path& clip) {
    return process_cpu_s({"ffmpeg", "-v", "quiet", "-nostdin", "-threads", "1", "-i", clip.string(),
                          "-an", "-f", "null", "-"});
}

double percent(long part, long whole) {
    return whole > 0 ? 100.0 * static_cast<double>(part) / static_cast<double>(whole) : 0.0;
}

}  // namespace sondeline::bench
