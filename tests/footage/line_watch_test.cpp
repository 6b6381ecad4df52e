#include "footage/line_watch.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

#include "footage/counter_choice.hpp"
#include "footage/drawn_line.hpp"

namespace sondeline {
namespace {

// Tenths pushed on for four of every eight seconds.
int shown_tenths(int sample) {
    return 72 + sample / 80 * 20 + std::min(sample % 80, 40) / 2;
}

struct Counts {
    int read = 0;
    int wrong = 0;
};

Counts counts(const LineReading* reading) {
    Counts found;
    if (reading == nullptr) return found;
    for (std::size_t i = 0; i < reading->samples.size(); ++i) {
        if (reading->samples[i].unread != Unread::no) continue;
        ++found.read;
        found.wrong += reading->samples[i].ticks != shown_tenths(static_cast<int>(i));
    }
    return found;
}

// Type of a terminal, whose rows of dots stand apart: either field holds some of the rows only, and
// read alone it showed nothing that could be told.
TEST(LineWatch, ReadsSmallTypeInScanLinesOfAnInterlacedPicture) {
    constexpr int kSamples = 320;
    std::vector<std::string> texts;
    texts.reserve(kSamples);
    for (int i = 0; i < kSamples; ++i) {
        texts.push_back(fmt::format("DIST {:06.1f}", shown_tenths(i) / 10.0));
    }
    for (const int height_px : {15, 17}) {
        const DrawnLine drawn = drawn_line(texts, "Glass_TTY_VT220.ttf", height_px);
        PixelBox box = drawn.line.text;
        box.width *= 2;
        const TextLine text{box, true, 1.0, 0.2};
        const cv::Size size = drawn.crops.front().luma.size();
        LineWatch watch(std::span(&text, 1), {}, size, true, {});
        for (int i = 0; i < kSamples; ++i) {
            const LineCrop& crop = drawn.crops[static_cast<std::size_t>(i)];
            watch.take(crop.time_s, crop.luma, i % 80 < 40 ? 6.0F : 0.5F);
        }
        const std::vector<WatchedLine> lines = watch.finish();
        const Counts found = counts(likeliest_counter(lines).reading);
        EXPECT_GE(found.read, kSamples * 98 / 100) << height_px;
        EXPECT_EQ(found.wrong, 0) << height_px;
    }
}

// Behind outlined type of middling brightness a bright wall gives way to a dark one along an edge
// that leans, and moves to and fro across the digits.
struct WallEdge {
    double middle_px = 0.0;  // from the left of the text
    double reach_px = 0.0;
    double leans_px = 0.0;
};

void put_on_two_walls(DrawnLine& drawn, const WallEdge& edge) {
    constexpr int kStrokes = 140;  // and lighter
    constexpr double kPerSample = 0.02;
    for (std::size_t i = 0; i < drawn.crops.size(); ++i) {
        cv::Mat1b& luma = drawn.crops[i].luma;
        const cv::Mat1b ink = luma > kStrokes;
        cv::Mat1b around;
        cv::dilate(ink, around, cv::getStructuringElement(cv::MORPH_RECT, {3, 3}));
        const double way = std::sin(kPerSample * static_cast<double>(i));
        const cv::Point foot(cvRound(drawn.line.text.x + edge.middle_px + edge.reach_px * way),
                             luma.rows);
        cv::Mat1b scene(luma.size(), std::uint8_t{250});
        const std::vector<cv::Point> dark{
            {foot.x + cvRound(edge.leans_px), 0}, {luma.cols, 0}, {luma.cols, luma.rows}, foot};
        cv::fillConvexPoly(scene, dark, 75);
        scene += luma - 82;  // its noise
        scene.setTo(55, around);
        scene.setTo(165, ink);
        cv::GaussianBlur(scene, luma, {}, 0.9);
    }
}

std::vector<WatchedLine> watched(const DrawnLine& drawn) {
    const TextLine text{drawn.line.text, true, 1.0, 0.2};
    LineWatch watch(std::span(&text, 1), {}, drawn.crops.front().luma.size(), false, {});
    for (std::size_t i = 0; i < drawn.crops.size(); ++i) {
        const LineCrop& crop = drawn.crops[i];
        watch.take(crop.time_s, crop.luma, i % 80 < 40 ? 6.0F : 0.5F);
    }
    return watch.finish();
}

// The edge is taken for the stroke of a 7: what is read well enough to be left alone is looked at
// again by its outlines.
TEST(LineWatch, TellsNothingWithoutDoubtWhereTheEdgeOfTheLightIsTakenForAStroke) {
    constexpr int kSamples = 320;
    std::vector<std::string> texts;
    texts.reserve(kSamples);
    for (int i = 0; i < kSamples; ++i) {
        texts.push_back(fmt::format("{:06.1f}", shown_tenths(i) / 10.0));
    }
    DrawnLine drawn = drawn_line(texts, "Glass_TTY_VT220.ttf", 22);
    put_on_two_walls(drawn, {0.0, 60.0, 60.0});
    const std::vector<WatchedLine> lines = watched(drawn);
    const LineReading* reading = likeliest_counter(lines).reading;
    ASSERT_NE(reading, nullptr);
    EXPECT_TRUE(counts(reading).wrong == 0 || !reading->doubt.empty());
}

}  // namespace
}  // namespace sondeline
