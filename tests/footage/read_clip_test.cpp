#include <algorithm>
#include <cmath>
#include <fstream>
#include <random>
#include <sstream>

#include <gmock/gmock.h>

#include "sondeline/footage.hpp"

#include "footage/lavfi_clip.hpp"
#include "support/footage.hpp"

namespace sondeline {
namespace {

using ::testing::Contains;
using ::testing::Field;
using ::testing::HasSubstr;

struct Made {
    std::filesystem::path path;
    std::vector<double> shown;  // by frame; NaN when hidden
    double frames_per_s = 0.0;
};

Made make(const ScratchFolder& folder, const std::string& name, const std::string& overlay,
          const std::string& story) {
    const support::Scenario scenario =
        support::parse_scenario(R"({"seed": 11, "overlays": [[)" + overlay + R"(]], "story": [)" +
                                story + R"(], "encoding": {"rate": "15", "kbit_per_s": 1500}})");
    Made made{folder / name, {}, 15.0};
    support::make_footage(scenario, made.path);
    std::ifstream truth(made.path.string() + ".truth.csv");
    std::string line;
    std::getline(truth, line);
    while (std::getline(truth, line)) {
        std::istringstream cells(line);
        std::string cell;
        for (int i = 0; i < 3; ++i) std::getline(cells, cell, ',');
        made.shown.push_back(cell.empty() ? std::nan("") : std::stod(cell));
    }
    return made;
}

constexpr const char* kCounter =
    R"({"role": "counter", "x": 30, "y": -24, "look": "outline", "digit_height_px": 22,
        "counter": {"scale": "ft", "places": 4}})";
constexpr const char* kClockAndTitle =
    R"({"role": "clock", "x": -30, "y": 20, "look": "outline", "digit_height_px": 22},
       {"role": "title", "text": "LINE 3", "x": 30, "y": 20, "look": "outline",
        "digit_height_px": 22})";
constexpr const char* kPush =
    R"({"do": "hold", "for_s": 2.5}, {"do": "push", "to_m": 3, "speed": 0.35},
       {"do": "hold", "for_s": 3}, {"do": "pull", "to_m": 1.5, "speed": 0.4},
       {"do": "push", "to_m": 4, "speed": 0.35})";

void expect_right(const Track& track, const Made& made, double least_coverage) {
    int wrong = 0;
    for (const CounterSample& sample : track.samples) {
        const auto frame = static_cast<std::size_t>(std::lround(sample.time_s * made.frames_per_s));
        ASSERT_LT(frame, made.shown.size());
        if (!sample.counter) continue;
        wrong += std::abs(*sample.counter - made.shown[frame]) < 0.04 ? 0 : 1;
    }
    EXPECT_EQ(wrong, 0);
    EXPECT_GE(track.coverage, least_coverage);
}

class ReadClip : public ::testing::Test {
  protected:
    static void SetUpTestSuite() {
        folder_ = std::make_unique<ScratchFolder>();
        made_ = make(*folder_, "run.mkv", std::string(kCounter) + "," + kClockAndTitle, kPush);
        track_ = read_clip(made_.path);
    }
    static void TearDownTestSuite() { folder_.reset(); }

    static std::unique_ptr<ScratchFolder> folder_;
    static Made made_;
    static Track track_;
};

std::unique_ptr<ScratchFolder> ReadClip::folder_;
Made ReadClip::made_;
Track ReadClip::track_;

TEST_F(ReadClip, GivesTheCounterOfEverySample) {
    ASSERT_TRUE(track_.format);
    EXPECT_EQ(track_.format->unit, CounterUnit::foot);
    EXPECT_EQ(track_.format->decimals, 1);
    EXPECT_TRUE(track_.format->zero_padded);
    expect_right(track_, made_, 0.98);
    const double duration_s = static_cast<double>(made_.shown.size()) / made_.frames_per_s;
    EXPECT_GE(static_cast<double>(track_.samples.size()), 7.0 * duration_s);
}

TEST_F(ReadClip, TellsHoldsAndPullBacks) {
    EXPECT_GE(track_.holds.size(), 2U);
    ASSERT_EQ(track_.pull_backs.size(), 1U);
    EXPECT_NEAR(track_.pull_backs[0].from_counter, 3.0 / 0.3048, 0.11);
    EXPECT_NEAR(track_.pull_backs[0].to_counter, 1.5 / 0.3048, 0.11);
    EXPECT_TRUE(track_.zeroings.empty());
}

TEST_F(ReadClip, ListsTheOtherText) {
    EXPECT_EQ(track_.other_fields.size(), 2U);
    EXPECT_THAT(track_.other_fields, Contains(Field(&OverlayField::kind, FieldKind::clock)));
}

TEST_F(ReadClip, DescribesTheClipAsDecoded) {
    EXPECT_EQ(track_.clip.name, "run.mkv");
    EXPECT_EQ(track_.clip.frames, static_cast<std::int64_t>(made_.shown.size()));
    EXPECT_NEAR(track_.clip.frame_rate, 15.0, 0.1);
    EXPECT_FALSE(track_.clip.damaged);
    EXPECT_EQ(track_.clip.sha256.size(), 64U);
}

TEST_F(ReadClip, GivesTheSameTrackAgainAndTellsProgress) {
    std::vector<double> shares;
    const Track again = read_clip(made_.path, {}, [&](double share) { shares.push_back(share); });
    ASSERT_EQ(again.samples.size(), track_.samples.size());
    for (std::size_t i = 0; i < again.samples.size(); ++i) {
        EXPECT_EQ(again.samples[i].counter, track_.samples[i].counter);
        EXPECT_EQ(again.samples[i].probability, track_.samples[i].probability);
    }
    EXPECT_EQ(again.findings.size(), track_.findings.size());
    ASSERT_FALSE(shares.empty());
    EXPECT_TRUE(std::is_sorted(shares.begin(), shares.end()));
    EXPECT_EQ(shares.back(), 1.0);
}

TEST_F(ReadClip, ReadsAClipThatIsCutOffUpToTheCut) {
    const std::string whole = bytes_of(made_.path);
    const auto cut = *folder_ / "cut.mkv";
    write_bytes(cut, whole.substr(0, whole.size() * 7 / 10));
    const Track track = read_clip(cut);
    EXPECT_TRUE(track.clip.damaged);
    EXPECT_THAT(track.findings, Contains(Field(&Finding::what, HasSubstr("cut off"))));
    ASSERT_TRUE(track.format);
    expect_right(track, made_, 0.9);
}

TEST_F(ReadClip, SurvivesDamagedBytes) {
    const std::string whole = bytes_of(made_.path);
    std::mt19937 random(5);
    for (int trial = 0; trial < 3; ++trial) {
        std::string broken = whole;
        for (int flip = 0; flip < 8 << (3 * trial); ++flip) {
            broken[random() % broken.size()] ^= static_cast<char>(1U << (random() % 8));
        }
        const auto clip = *folder_ / "broken.mkv";
        write_bytes(clip, broken);
        const Track track = read_clip(clip);
        EXPECT_LE(track.coverage, 1.0);
        EXPECT_TRUE(std::is_sorted(
            track.samples.begin(), track.samples.end(),
            [](const CounterSample& a, const CounterSample& b) { return a.time_s < b.time_s; }));
    }
}

TEST(ReadClipWithoutCounter, SaysThatNoneWasFound) {
    const ScratchFolder folder;
    const Made made = make(folder, "a.mp4", kClockAndTitle, kPush);
    const Track track = read_clip(made.path);
    EXPECT_FALSE(track.format);
    EXPECT_EQ(track.coverage, 0.0);
    EXPECT_THAT(track.findings, Contains(Field(&Finding::what, HasSubstr("No counter was found"))));
}

TEST(ReadClipWithoutText, SaysThatNoneWasFound) {
    const ScratchFolder folder;
    ffmpeg("-f lavfi -i mandelbrot=s=320x240:r=15 -t 6 -c:v libx264 -preset veryfast",
           folder / "a.mp4");
    const Track track = read_clip(folder / "a.mp4");
    EXPECT_FALSE(track.format);
    EXPECT_THAT(track.findings, Contains(Field(&Finding::what, HasSubstr("No counter was found"))));
}

TEST(ReadClipOfNoVideo, IsRefusedWithTheReason) {
    const ScratchFolder folder;
    write_bytes(folder / "notes.mp4", "Not footage.\n");
    const Track track = read_clip(folder / "notes.mp4");
    EXPECT_FALSE(track.format);
    ASSERT_EQ(track.findings.size(), 1U);
    EXPECT_EQ(track.findings[0].consequence, Consequence::input_rejected);
    EXPECT_EQ(track.findings[0].where.file, "notes.mp4");
    EXPECT_FALSE(track.findings[0].what_to_do.empty());
}

// Right-justified to five places by blanks that are narrower than the digits, so that the number
// moves by part of a digit when it grows.
TEST(ReadClipOfAProportionalFace, FollowsANumberWhoseBlanksAreNarrow) {
    const ScratchFolder folder;
    const Made made =
        make(folder, "grows.mkv",
             R"({"role": "counter", "x": 40, "y": -30, "look": "outline", "digit_height_px": 26,
            "face": "DejaVuSans.ttf", "counter": {"scale": "ft", "places": 3, "pad": " "}})",
             R"({"do": "hold", "for_s": 2}, {"do": "push", "to_m": 1.6, "speed": 0.3},
           {"do": "hold", "for_s": 2}, {"do": "push", "to_m": 4.2, "speed": 0.3},
           {"do": "hold", "for_s": 2})");
    const Track track = read_clip(made.path);
    ASSERT_TRUE(track.format.has_value());
    EXPECT_EQ(track.format->decimals, 1);
    expect_right(track, made, 0.95);
    const auto furthest = std::ranges::max(track.samples, {}, [](const CounterSample& sample) {
        return sample.counter.value_or(0.0);
    });
    EXPECT_GT(furthest.counter.value_or(0.0), 13.0);  // 4.2 m
}

TEST(ReadClipAcrossAZeroing, TellsWhereTheCounterWasSet) {
    const ScratchFolder folder;
    const Made made = make(folder, "a.mp4", std::string(kCounter) + "," + kClockAndTitle,
                           R"({"do": "push", "to_m": 2, "speed": 0.35}, {"do": "hold", "for_s": 2},
                              {"do": "zero", "value": 0}, {"do": "hold", "for_s": 2},
                              {"do": "push", "to_m": 4, "speed": 0.35})");
    const Track track = read_clip(made.path);
    ASSERT_TRUE(track.format);
    ASSERT_EQ(track.zeroings.size(), 1U);
    EXPECT_NEAR(track.zeroings[0].counter_before, 2.0 / 0.3048, 0.11);
    EXPECT_DOUBLE_EQ(track.zeroings[0].counter_after, 0.0);
}

}  // namespace
}  // namespace sondeline
