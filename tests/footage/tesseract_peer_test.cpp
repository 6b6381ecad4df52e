// Tesseract (Debian's tesseract-ocr) as an independent reader of the same counter: it looks at
// single pictures cut to the box that our reader found, and the truth is the footage maker's.
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <map>
#include <sstream>

#include <fmt/format.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include "sondeline/footage.hpp"

namespace sondeline {
namespace {

namespace fs = std::filesystem;

// Frame times and the counter shown, of the sample's building sewer.
std::map<double, double> shown_by_time() {
    std::ifstream in(fs::path(SONDELINE_SOURCE_DIR) / "tests/made/sample_truth/BS_frames.csv");
    std::map<double, double> shown;
    std::string line;
    std::getline(in, line);
    while (std::getline(in, line)) {
        std::istringstream cells(line);
        std::string frame, time, counter;
        std::getline(cells, frame, ',');
        std::getline(cells, time, ',');
        std::getline(cells, counter, ',');
        if (!counter.empty()) shown[std::stod(time)] = std::stod(counter);
    }
    return shown;
}

// The box in one picture of the clip, enlarged and dark on light, as Tesseract likes it.
std::optional<double> tesseract_reads(const fs::path& clip, double time_s, const PixelBox& box,
                                      const fs::path& folder) {
    const std::string picture = (folder / "box.png").string();
    const std::string text = (folder / "box").string();
    const std::string cut = fmt::format(
        "ffmpeg -loglevel error -nostdin -y -i '{}' -vf \"select='gte(t,{:.3f})',crop={}:{}:{}:{},"
        "scale=iw*3:-1,negate\" -frames:v 1 '{}'",
        clip.string(), time_s - 0.001, box.width + 8, box.height + 8, std::max(0, box.x - 4),
        std::max(0, box.y - 4), picture);
    const std::string read = fmt::format(
        "tesseract '{}' '{}' --psm 7 -c tessedit_char_whitelist=0123456789. >/dev/null 2>&1",
        picture, text);
    if (std::system(cut.c_str()) != 0 || std::system(read.c_str()) != 0) return std::nullopt;
    std::ifstream in(text + ".txt");
    std::string line;
    std::getline(in, line);
    return parse_number(line);
}

TEST(Reading, AgreesWithTheTruthAndIsNoWorseThanTesseract) {
    const fs::path clip = fs::path(SONDELINE_SOURCE_DIR) / "sample-runs/walnut-row/house.mp4";
    const fs::path folder =
        fs::temp_directory_path() / fmt::format("sondeline-tesseract-{}", getpid());
    fs::create_directories(folder);
    const Track track = read_clip(clip);
    ASSERT_TRUE(track.format.has_value());
    const std::map<double, double> truth = shown_by_time();
    ASSERT_GT(truth.size(), 300U);
    int compared = 0;
    int ours_right = 0;
    int peer_right = 0;
    for (std::size_t i = 20; i < track.samples.size() && compared < 12; i += 30) {
        const CounterSample& sample = track.samples[i];
        const auto shown = truth.lower_bound(sample.time_s - 0.001);
        if (shown == truth.end()) continue;
        ++compared;
        ours_right += sample.counter && std::abs(*sample.counter - shown->second) < 0.05 ? 1 : 0;
        const auto peer = tesseract_reads(clip, sample.time_s, track.format->box, folder);
        peer_right += peer && std::abs(*peer - shown->second) < 0.05 ? 1 : 0;
    }
    fs::remove_all(folder);
    EXPECT_EQ(compared, 12);
    EXPECT_GE(ours_right, 11);
    EXPECT_GE(ours_right, peer_right);
    EXPECT_GE(peer_right, 1) << "the independent reader read nothing, so it proves nothing";
}

}  // namespace
}  // namespace sondeline
