// The committed clips, tables and truth of the sample site belong together.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "made/sample_site.hpp"

namespace sondeline::made {
namespace {

const std::filesystem::path job = SONDELINE_SOURCE_DIR "/sample-runs/walnut-row";
const std::filesystem::path truth_folder = SONDELINE_SOURCE_DIR "/tests/made/sample_truth";

std::vector<std::vector<std::string>> rows_of(const std::filesystem::path& table) {
    std::ifstream stream(table);
    std::vector<std::vector<std::string>> rows;
    std::string line;
    std::getline(stream, line);  // the header
    while (std::getline(stream, line)) {
        std::vector<std::string>& cells = rows.emplace_back();
        std::istringstream text(line);
        for (std::string cell; std::getline(text, cell, ',');) cells.push_back(cell);
    }
    return rows;
}

// Frames in the file as ffprobe counts them.
std::size_t packets_in(const std::filesystem::path& clip) {
    const std::string command =
        "ffprobe -v error -count_packets -select_streams v -show_entries stream=nb_read_packets "
        "-of default=nokey=1:noprint_wrappers=1 '" +
        clip.string() + "'";
    std::array<char, 64> text{};
    std::FILE* pipe = popen(command.c_str(), "r");
    const bool any = std::fgets(text.data(), text.size(), pipe) != nullptr;
    pclose(pipe);
    return any ? std::strtoul(text.data(), nullptr, 10) : 0;
}

TEST(SampleSite, HasAFrameOfTruthForEveryFrameOfItsClips) {
    for (const SampleRun& run : sample_site().runs) {
        const auto truth = rows_of(truth_folder / (run.id + "_frames.csv"));
        EXPECT_GT(truth.size(), 100U) << run.id;
        EXPECT_EQ(truth.size(), packets_in(job / run.clip)) << run.id;
    }
}

TEST(SampleSite, ShowsTheLengthOfEachPipeOverTheScaleOfItsReel) {
    const SampleSite site = sample_site();
    for (const SampleRun& run : site.runs) {
        double furthest_ft = -1e9;
        for (const auto& row : rows_of(truth_folder / (run.id + "_frames.csv"))) {
            furthest_ft = std::max(furthest_ft, std::stod(row.at(2)));
        }
        const double counted_ft = run.pipe.length_m / 0.3048 / site.reel_scale;
        EXPECT_NEAR(furthest_ft - run.shown_at_start_ft, counted_ft, 0.0501) << run.id;
    }
}

TEST(SampleSite, IsSmallEnoughToBeCloned) {
    std::uintmax_t bytes = 0;
    for (const SampleRun& run : sample_site().runs) {
        bytes += std::filesystem::file_size(job / run.clip);
    }
    EXPECT_LE(bytes, 5U << 20U);
}

// The truth is a walk along the pipe: its steps are as long as the stations say, on the ground.
TEST(SampleSite, KeepsAStraightMeasureInItsTruth) {
    constexpr double utm_scale = 0.99967;  // 0.9996 (1 + x² / 2 R²), 75.4 km from the meridian
    for (const SampleRun& run : sample_site().runs) {
        const auto truth = rows_of(truth_folder / (run.id + ".csv"));
        double walked_m = 0.0;
        for (std::size_t i = 1; i < truth.size(); ++i) {
            const auto step = [&](std::size_t column) {
                return std::stod(truth[i].at(column)) - std::stod(truth[i - 1].at(column));
            };
            walked_m += std::hypot(step(1) / utm_scale, step(2) / utm_scale, step(3));
        }
        EXPECT_NEAR(walked_m, std::stod(truth.back().at(0)), 0.01) << run.id;
    }
}

}  // namespace
}  // namespace sondeline::made
