#include "deliverables/made_set.hpp"

#include <array>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <map>
#include <memory>
#include <sstream>

#include <fmt/format.h>
#include <gtest/gtest.h>
#include <unistd.h>

namespace sondeline {

namespace fs = std::filesystem;

namespace {

const fs::path source_tree(SONDELINE_SOURCE_DIR);

// Which run each clip of the sample shows (sample-runs/walnut-row/runs.csv).
const std::map<std::string, std::string>& run_of_clip() {
    static const std::map<std::string, std::string> runs{{"house.mp4", "BS"},
                                                         {"tank_to_box.mp4", "EL"},
                                                         {"lateral1.mp4", "L1"},
                                                         {"lateral2.avi", "L2"},
                                                         {"lateral3.mp4", "L3"}};
    return runs;
}

void find_holds(Track& track) {
    std::size_t from = 0;
    for (std::size_t i = 1; i <= track.samples.size(); ++i) {
        if (i < track.samples.size() && track.samples[i].counter == track.samples[from].counter) {
            continue;
        }
        const double from_s = track.samples[from].time_s;
        const double to_s = track.samples[i - 1].time_s;
        if (to_s - from_s >= 2.0)
            track.holds.push_back({from_s, to_s, *track.samples[from].counter});
        from = i;
    }
}

// The counter was set to another value: it leaps by more than the head can move in a tenth.
void find_zeroings(Track& track) {
    for (std::size_t i = 1; i < track.samples.size(); ++i) {
        CounterSample& here = track.samples[i];
        const double before = *track.samples[i - 1].counter;
        if (std::abs(*here.counter - before) < 1.0) continue;
        here.state = CounterState::zero;
        track.zeroings.push_back({here.time_s, before, *here.counter, true});
    }
}

}  // namespace

Track track_of_truth(const std::string& run, const std::string& clip) {
    Track track;
    track.clip.name = clip;
    // No two clips are alike.
    for (const char letter : run) {
        track.clip.sha256 += fmt::format("{:02x}", static_cast<unsigned char>(letter));
    }
    track.clip.sha256.resize(64, '0');
    track.clip.width = 640;
    track.clip.height = 480;
    track.format =
        CounterFormat{{10, 20, 80, 24}, CounterUnit::foot, 0.99, 3, 1, false, "12.4 ft", 1.0};
    track.coverage = 1.0;
    std::ifstream in(source_tree / "tests/made/sample_truth" / (run + "_frames.csv"));
    std::string line;
    std::getline(in, line);
    double next_s = 0.0;
    while (std::getline(in, line)) {
        int frame = 0;
        double time_s = 0.0;
        double shown = 0.0;
        if (std::sscanf(line.c_str(), "%d,%lf,%lf", &frame, &time_s, &shown) != 3) continue;
        track.clip.duration_s = time_s;
        track.clip.frames = frame + 1;
        if (time_s < next_s - 1e-9) continue;
        next_s += 0.1;
        track.samples.push_back({time_s, shown, 0.999, CounterState::push, ""});
    }
    find_holds(track);
    find_zeroings(track);
    track.evidence.push_back({0.0, "first reading", "not a picture"});
    return track;
}

MadeSet::MadeSet(const std::function<void(const fs::path&)>& spoil, const std::string& pdf_program)
    : folder_(fs::temp_directory_path() /
              fmt::format("sondeline-set-{}-{}", getpid(),
                          testing::UnitTest::GetInstance()->current_test_info()->name())) {
    fs::remove_all(folder_);
    fs::create_directories(folder_);
    for (const auto& entry : fs::directory_iterator(source_tree / "sample-runs/walnut-row")) {
        if (entry.path().extension() == ".csv") {
            fs::copy_file(entry.path(), folder_ / entry.path().filename());
        }
    }
    for (const auto& [clip, run] : run_of_clip()) std::ofstream(folder_ / clip) << run;
    if (spoil) spoil(folder_);
    const TrackReader read = [](const fs::path& clip, const ReadProgress&) {
        const std::string name = clip.filename().string();
        return track_of_truth(run_of_clip().at(name), name);
    };
    ProcessOptions options;
    options.pdf_program = pdf_program;
    outcome_ = process_job(folder_, read, options);
}

MadeSet::~MadeSet() {
    std::error_code ignored;
    fs::remove_all(folder_, ignored);
}

std::string text_of(const fs::path& file) {
    std::ostringstream text;
    text << std::ifstream(file, std::ios::binary).rdbuf();
    return text.str();
}

std::string output_of(const std::string& command) {
    struct Closer {
        int* status;
        void operator()(FILE* pipe) const { *status = pclose(pipe); }
    };
    int status = -1;
    std::string text;
    {
        const std::unique_ptr<FILE, Closer> pipe(popen(command.c_str(), "r"), Closer{&status});
        std::array<char, 4096> buffer{};
        while (pipe && fgets(buffer.data(), buffer.size(), pipe.get()) != nullptr) {
            text += buffer.data();
        }
    }
    EXPECT_EQ(status, 0) << command << "\n" << text;
    return text;
}

}  // namespace sondeline
