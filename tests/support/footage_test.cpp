#include "support/footage.hpp"

#include <array>
#include <cstdio>
#include <fstream>
#include <stdexcept>

#include <gtest/gtest.h>

namespace sondeline::support {
namespace {

// A still, level, evenly lit picture of a 100 mm pipe unless the members say otherwise.
std::string scene(const std::string& members) {
    return R"({"camera": {"noise_sd": 0, "wander": 0, "roll_deg": 0, "exposure_swing": 0},
        "encoding": {"width": 320, "height": 240, "rate": "10"})" +
           members + "}";
}

const std::string counter = R"(, "overlays": [[{"role": "counter", "x": 10, "y": 10,
        "digit_height_px": 16}]])";

std::vector<Frame> frames_of(const Scenario& scenario) {
    std::vector<Frame> frames;
    each_frame(scenario, [&](const Frame& frame, const FrameTruth&) {
        frames.push_back({frame.y.clone(), frame.u.clone(), frame.v.clone()});
    });
    return frames;
}

std::size_t differences(const cv::Mat1b& a, const cv::Mat1b& b) {
    return static_cast<std::size_t>(cv::countNonZero(a != b));
}

// Frames that ffprobe counts by decoding the whole file.
int decoded_frames(const std::filesystem::path& clip) {
    const std::string command =
        "ffprobe -v error -count_frames -select_streams v -show_entries stream=nb_read_frames "
        "-of default=nokey=1:noprint_wrappers=1 '" +
        clip.string() + "'";
    std::array<char, 64> text{};
    std::FILE* pipe = popen(command.c_str(), "r");
    const bool any = std::fgets(text.data(), text.size(), pipe) != nullptr;
    pclose(pipe);
    return any ? std::atoi(text.data()) : -1;
}

TEST(Footage, IsTheSameForTheSameSeedAndAnotherForAnother) {
    const std::string rest = counter + R"(, "story": [{"do": "push", "to_m": 0.5, "speed": 0.5}])";
    Scenario scenario = parse_scenario(scene(rest));
    scenario.camera.noise_sd = 4.0;
    const auto first = frames_of(scenario);
    const auto second = frames_of(scenario);
    ASSERT_EQ(first.size(), second.size());
    for (std::size_t i = 0; i < first.size(); ++i) {
        EXPECT_EQ(differences(first[i].y, second[i].y), 0U);
        EXPECT_EQ(differences(first[i].u, second[i].u), 0U);
    }
    scenario.seed += 1;
    EXPECT_GT(differences(first[0].y, frames_of(scenario)[0].y), 10000U);
}

TEST(Footage, WritesARowOfTruthForEveryFrameThatDecodes) {
    const auto folder = std::filesystem::path(testing::TempDir()) / "footage_maker";
    std::filesystem::create_directories(folder);
    Scenario scenario = parse_scenario(scene(counter + R"(,
        "story": [{"do": "push", "to_m": 0.5, "speed": 0.3}, {"do": "hold", "for_s": 1}])"));
    for (const Codec codec : {Codec::h264, Codec::mpeg2, Codec::mjpeg}) {
        scenario.encoding.codec = codec;
        scenario.encoding.rate = "25";
        const auto clip = folder / "clip.mkv";
        make_footage(scenario, clip);
        std::ifstream truth(clip.string() + ".truth.csv");
        int rows = -1;  // the header is no frame
        for (std::string line; std::getline(truth, line);) ++rows;
        EXPECT_GT(rows, 25);
        EXPECT_EQ(rows, decoded_frames(clip));
    }
    std::filesystem::remove_all(folder);
}

TEST(Footage, RefusesFieldsThatOverlapOrLeaveThePicture) {
    const std::string story = R"(, "story": [{"do": "hold", "for_s": 0.2}])";
    const std::string field = R"({"role": "title", "text": "LINE", "digit_height_px": 16, "x": )";
    EXPECT_NO_THROW(overlay_boxes(
        parse_scenario(scene(story + R"(, "overlays": [[)" + field + "10}, " + field + "120}]]"))));
    EXPECT_THROW(overlay_boxes(parse_scenario(
                     scene(story + R"(, "overlays": [[)" + field + "10}, " + field + "30}]]"))),
                 std::invalid_argument);
    EXPECT_THROW(
        overlay_boxes(parse_scenario(scene(story + R"(, "overlays": [[)" + field + "300}]]"))),
        std::invalid_argument);
}

TEST(Footage, ShowsTheCounterOnlyWhileTheOverlayStands) {
    const Scenario scenario = parse_scenario(scene(counter + R"(, "story": [
        {"do": "hold", "for_s": 0.2}, {"do": "overlay", "set": -1}, {"do": "hold", "for_s": 0.2},
        {"do": "overlay", "set": 0}, {"do": "black", "for_s": 0.2}])"));
    std::vector<std::string> shown;
    each_frame(scenario, [&](const Frame&, const FrameTruth& t) { shown.push_back(t.shown); });
    EXPECT_EQ(shown, (std::vector<std::string>{"0.0", "0.0", "", "", "", ""}));
}

TEST(Footage, RefreshesTheCounterNoOftenerThanAsked) {
    const Scenario scenario = parse_scenario(scene(R"(, "overlays": [[{"role": "counter", "x": 10,
        "y": 10, "digit_height_px": 16, "refresh_hz": 2}]],
        "story": [{"do": "push", "to_m": 1, "speed": 0.5, "surge": 0}])"));
    std::vector<std::string> shown;
    each_frame(scenario, [&](const Frame&, const FrameTruth& t) { shown.push_back(t.shown); });
    ASSERT_EQ(shown.size(), 20U);
    for (std::size_t i = 0; i < shown.size(); ++i) EXPECT_EQ(shown[i], shown[i / 5 * 5]);
    EXPECT_NE(shown[0], shown[5]);
}

TEST(Footage, WeavesTwoFieldsIntoAnInterlacedFrame) {
    Scenario scenario = parse_scenario(scene(counter + R"(,
        "story": [{"do": "push", "to_m": 1, "speed": 1, "surge": 0}])"));
    scenario.encoding.rate = "20";
    const auto progressive = frames_of(scenario);
    scenario.encoding.rate = "10";
    scenario.encoding.interlaced = true;
    const auto woven = frames_of(scenario);
    ASSERT_EQ(progressive.size(), 2 * woven.size());
    for (int row = 0; row < 240; ++row) {
        const cv::Mat1b field = progressive[static_cast<std::size_t>(6 + row % 2)].y;
        EXPECT_EQ(differences(woven[3].y.row(row), field.row(row)), 0U) << row;
    }
}

// Water 0.30 of the diameter deep leaves a surface 0.9165 of the diameter wide, 0.40 radii below
// the axis (any handbook of circular sections in open channels; recomputed: 2 sqrt(y (1 - y))).
// Seen along the axis its edges are straight lines from the vanishing point, 0.9165 across to 0.40
// down.
TEST(Footage, LaysTheWaterLevelAndAsWideAsItsDepthAllows) {
    const std::string story =
        R"(, "story": [{"do": "hold", "for_s": 0.1}], "pipe": {"length_m": 30)";
    const auto dry = frames_of(parse_scenario(scene(story + "}")));
    const auto wet =
        frames_of(parse_scenario(scene(story + R"(, "water": [[0, 0.3], [20, 0.3]]})")));
    const cv::Mat1b changed = cv::abs(cv::Mat(dry[0].y) - cv::Mat(wet[0].y)) > 12;
    for (const int below : {50, 40, 30}) {
        const int row = 120 + below;
        const int edge = static_cast<int>(below * 0.9165 / 0.40);
        const int inside = std::min(edge - 6, 158);
        const cv::Mat1b within = changed.row(row).colRange(160 - inside, 160 + inside);
        EXPECT_GT(cv::countNonZero(within), 1.8 * inside) << below;
        if (edge + 6 < 160) {
            EXPECT_EQ(cv::countNonZero(changed.row(row).colRange(0, 160 - edge - 6)), 0) << below;
            EXPECT_EQ(cv::countNonZero(changed.row(row).colRange(160 + edge + 6, 320)), 0) << below;
        }
    }
    EXPECT_EQ(cv::countNonZero(changed.rowRange(0, 118)), 0);
}

}  // namespace
}  // namespace sondeline::support
