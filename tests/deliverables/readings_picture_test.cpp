#include <cmath>

#include <cpl_minixml.h>
#include <gmock/gmock.h>

#include "sondeline/deliverables.hpp"

namespace sondeline {
namespace {

using testing::HasSubstr;
using testing::Not;

// A stand, a push, a stretch that could not be read, a zeroing, a pull.
Track eventful(int samples_per_s) {
    Track track;
    track.clip.name = "a <b> & c.mp4";
    track.format = CounterFormat{{10, 20, 80, 24}, CounterUnit::foot, 0.99, 3, 1, true, "012.4 ft"};
    const auto add = [&](double seconds, CounterState state, double from, double to) {
        const int count = static_cast<int>(seconds * samples_per_s);
        for (int i = 0; i < count; ++i) {
            CounterSample sample;
            sample.time_s = static_cast<double>(track.samples.size()) / samples_per_s;
            sample.state = state;
            if (state == CounterState::missing) {
                sample.reason = "the counter is not shown";
            } else {
                sample.counter = std::round(10.0 * (from + (to - from) * i / count)) / 10.0;
            }
            track.samples.push_back(sample);
        }
    };
    add(5.0, CounterState::hold, 0.0, 0.0);
    add(20.0, CounterState::push, 0.0, 30.0);
    add(3.0, CounterState::missing, 0.0, 0.0);
    track.zeroings = {{28.0, 30.0, 0.0, false}};
    add(8.0, CounterState::push, 0.0, 9.0);
    add(4.0, CounterState::pull, 9.0, 4.0);
    track.samples[28 * static_cast<std::size_t>(samples_per_s)].state = CounterState::zero;
    track.coverage = 37.0 / 40.0;
    return track;
}

std::size_t count(const std::string& text, const std::string& part) {
    std::size_t found = 0;
    for (auto at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++found;
    return found;
}

TEST(ReadingsPicture, TellsTheStatesApart) {
    const Track track = eventful(10);
    const std::string svg = readings_picture(std::span(&track, 1));
    for (const char* state : {"hold", "push", "pull"}) {
        // Once in the legend, at least once in the chart.
        EXPECT_GE(count(svg, "<path class=\"" + std::string(state) + "\""), 2U) << state;
    }
    EXPECT_EQ(count(svg, "<path class=\"zero\""), 2U);
    EXPECT_EQ(count(svg, "<rect class=\"missing\""), 2U);
    EXPECT_THAT(svg, HasSubstr("set from 30.0 to 0.0"));
    EXPECT_THAT(svg, HasSubstr("the counter is not shown"));
    EXPECT_THAT(svg, HasSubstr("greatest 29.9"));
    EXPECT_THAT(svg, HasSubstr("92.5 %"));
}

TEST(ReadingsPicture, IsWellFormedWhateverTheClipIsCalled) {
    const Track track = eventful(10);
    const std::string svg = readings_picture(std::span(&track, 1));
    CPLXMLNode* parsed = CPLParseXMLString(svg.c_str());
    ASSERT_NE(parsed, nullptr);
    EXPECT_NE(CPLGetXMLNode(parsed, "=svg.text"), nullptr);
    CPLDestroyXMLNode(parsed);
    EXPECT_THAT(svg, Not(HasSubstr("<b>")));
}

TEST(ReadingsPicture, DoesNotGrowWithTheLengthOfTheClip) {
    const Track brief = eventful(10);
    const Track dense = eventful(5000);
    const std::string small = readings_picture(std::span(&brief, 1));
    const std::string large = readings_picture(std::span(&dense, 1));
    EXPECT_LT(large.size(), 12 * small.size());
    EXPECT_LT(large.size(), 200000U);
}

TEST(ReadingsPicture, OfAClipWithoutCounterSaysSo) {
    Track track;
    track.clip.name = "blank.mp4";
    track.samples.resize(3);
    const std::string svg = readings_picture(std::span(&track, 1));
    EXPECT_THAT(svg, HasSubstr("no counter found"));
    EXPECT_THAT(readings_picture({}), HasSubstr("</svg>"));
}

}  // namespace
}  // namespace sondeline
