#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "sondeline/deliverables.hpp"

namespace sondeline {
namespace {

Track short_track() {
    Track track;
    track.clip.name = "a, b.mp4";
    track.format =
        CounterFormat{{10, 20, 80, 24}, CounterUnit::foot, 0.99, 3, 1, true, "012.4 ft", 0.97};
    track.coverage = 0.5;
    track.samples = {{0.0, 12.4, 0.999, CounterState::hold, ""},
                     {0.1, std::nullopt, 0.0, CounterState::missing, "digits between two values"}};
    return track;
}

TEST(Readings, HoldEverySampleWithItsReason) {
    const Track track = short_track();
    const std::string text = readings_csv(std::span(&track, 1));
    EXPECT_NE(text.find("clip,time_s,counter,probability,state,reason\n"
                        "\"a, b.mp4\",0.000,12.4,0.9990,hold,\n"
                        "\"a, b.mp4\",0.100,,0.0000,missing,digits between two values\n"),
              std::string::npos)
        << text;
    EXPECT_EQ(text.find("# a, b.mp4: counter \"012.4 ft\""), 0U);
}

TEST(Readings, AreTheSameAsJson) {
    const Track track = short_track();
    const auto json = nlohmann::json::parse(readings_json(std::span(&track, 1)));
    EXPECT_EQ(json.at("schema"), "sondeline-readings/1");
    const auto& samples = json.at("clips").at(0).at("samples");
    EXPECT_EQ(samples.at(0).at("counter"), 12.4);
    EXPECT_TRUE(samples.at(1).at("counter").is_null());
}

TEST(FileStems, StayInsideTheFolderAndApart) {
    const std::vector<std::string> stems =
        file_stems({"L1", "../../etc/passwd", "l1", "", "..", "Süd 2"});
    EXPECT_EQ(stems[0], "L1");
    EXPECT_EQ(stems[1], ".._.._etc_passwd");
    EXPECT_EQ(stems[2], "l1-2");
    EXPECT_EQ(stems[3], "run");
    EXPECT_EQ(stems[4], "run-2");
    EXPECT_EQ(stems[5], "S__d_2");
}

}  // namespace
}  // namespace sondeline
