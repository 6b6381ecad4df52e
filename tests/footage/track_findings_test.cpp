#include "footage/track_findings.hpp"

#include <vector>

#include <gtest/gtest.h>

namespace sondeline {
namespace {

LineReading counter_with(int clear, int unclear, int hidden) {
    LineReading counter;
    counter.format.pattern = "###.# ft";
    for (const auto& [count, why] :
         {std::pair{clear, Unread::no}, {unclear, Unread::unsure}, {hidden, Unread::text_hidden}}) {
        counter.samples.insert(counter.samples.end(), static_cast<std::size_t>(count),
                               LineSample{0, 1.0F, why});
    }
    return counter;
}

Findings told(const LineReading& counter) {
    Track track;
    track.clip.name = "a.mp4";
    tell_of_unclear_digits(counter, track);
    return track.findings;
}

TEST(UnclearDigits, OfMoreThanThreeInTenPicturesAreAProblem) {
    const Findings findings = told(counter_with(60, 40, 0));
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_EQ(findings[0].severity, Severity::problem);
    EXPECT_EQ(findings[0].where.file, "a.mp4");
    EXPECT_NE(findings[0].what.find("In 40 % of the pictures"), std::string::npos);
    EXPECT_NE(findings[0].what.find("###.# ft"), std::string::npos);
    EXPECT_FALSE(findings[0].what_to_do.empty());
}

TEST(UnclearDigits, OfFewerArePassedOver) {
    EXPECT_TRUE(told(counter_with(70, 30, 0)).empty());
    EXPECT_TRUE(told(counter_with(0, 0, 0)).empty());
}

TEST(UnclearDigits, AreCountedAmongThePicturesThatShowTheCounter) {
    EXPECT_EQ(told(counter_with(60, 40, 900)).size(), 1U);
    EXPECT_TRUE(told(counter_with(90, 10, 900)).empty());
}

// Ten samples a second; negative: not read.
Findings told_of(const std::vector<double>& counters) {
    Track track;
    track.coverage = 1.0;
    for (std::size_t i = 0; i < counters.size(); ++i) {
        CounterSample sample;
        sample.time_s = 0.1 * static_cast<double>(i);
        if (counters[i] >= 0.0) sample.counter = counters[i];
        track.samples.push_back(sample);
    }
    tell_of_readings(track);
    return track.findings;
}

TEST(UnreadClip, IsACautionWhereTheHeadMayHaveBeenFurtherIn) {
    std::vector<double> counters{3.7, 3.8, 3.9};
    counters.insert(counters.end(), 20, -1.0);  // 4.0, 4.1 and back
    counters.insert(counters.end(), {3.8, 3.7});
    const Findings findings = told_of(counters);
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_EQ(findings[0].severity, Severity::caution);
    EXPECT_NE(findings[0].what.find("1.9 s next to its furthest reading"), std::string::npos);
    EXPECT_NEAR(findings[0].where.time_s.value(), 0.3, 1e-9);
}

TEST(UnreadClip, IsNoCautionForAMomentOrFarFromTheFurthestReading) {
    EXPECT_TRUE(told_of({3.8, 3.9, -1, -1, -1, 3.8}).empty());
    std::vector<double> counters{3.0, 3.1};
    counters.insert(counters.end(), 20, -1.0);
    counters.insert(counters.end(), {3.4, 3.9, 3.9, 3.8});
    EXPECT_TRUE(told_of(counters).empty());
}

TEST(UnreadClip, IsACautionFromATenthOnAndAWordBelow) {
    Track track;
    track.coverage = 0.85;
    tell_of_readings(track);
    ASSERT_EQ(track.findings.size(), 1U);
    EXPECT_EQ(track.findings[0].severity, Severity::caution);
    EXPECT_NE(track.findings[0].what.find("15 % of the clip"), std::string::npos);
    track.findings.clear();
    track.coverage = 0.95;
    tell_of_readings(track);
    ASSERT_EQ(track.findings.size(), 1U);
    EXPECT_EQ(track.findings[0].severity, Severity::info);
    track.findings.clear();
    track.coverage = 0.99;
    tell_of_readings(track);
    EXPECT_TRUE(track.findings.empty());
}

}  // namespace
}  // namespace sondeline
