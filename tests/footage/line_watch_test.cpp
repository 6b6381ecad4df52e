#include "footage/line_watch.hpp"

#include <algorithm>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <gtest/gtest.h>

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

}  // namespace
}  // namespace sondeline
