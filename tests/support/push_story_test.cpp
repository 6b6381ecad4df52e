#include "support/push_story.hpp"

#include <stdexcept>

#include <gtest/gtest.h>

namespace sondeline::support {
namespace {

constexpr double states_per_s = 30.0;

std::vector<HeadState> told(const std::string& json) {
    return tell_story(parse_scenario(json), states_per_s);
}

TEST(PushStory, CountsTheTrueLengthOverTheScaleOfTheReel) {
    const auto states = told(R"({"reel": {"counter_at_start": 2.0, "scale": 1.006},
        "story": [{"do": "push", "to_m": 10.06, "speed": 0.5}]})");
    EXPECT_DOUBLE_EQ(states.back().station_m, 10.06);
    EXPECT_NEAR(states.back().counter, 2.0 + 10.0 / 0.3048, 1e-9);
}

TEST(PushStory, PushesAboutAsFastAsAsked) {
    const auto states = told(R"({"story": [{"do": "push", "to_m": 20, "speed": 0.25}]})");
    EXPECT_NEAR(states.back().time_s, 80.0, 16.0);
    for (std::size_t i = 1; i < states.size(); ++i) {
        EXPECT_GT(states[i].station_m, states[i - 1].station_m);
    }
}

TEST(PushStory, ZeroesTheCounterWhileTheHeadStands) {
    const auto states = told(R"({"story": [{"do": "push", "to_m": 2, "speed": 1},
        {"do": "zero", "value": -1.5}, {"do": "hold", "for_s": 1}]})");
    EXPECT_DOUBLE_EQ(states.back().station_m, 2.0);
    EXPECT_NEAR(states.back().counter, -1.5, 1e-12);
}

TEST(PushStory, SlipsTheCounterAloneAndDriftsTheHeadAlone) {
    const auto slipped = told(R"({"story": [{"do": "slip", "value": 3, "for_s": 2}]})");
    EXPECT_DOUBLE_EQ(slipped.back().station_m, 0.0);
    EXPECT_NEAR(slipped.back().counter, 3.0, 1e-9);
    const auto drifted = told(R"({"story": [{"do": "drift", "to_m": 1, "speed": 0.5}]})");
    EXPECT_DOUBLE_EQ(drifted.back().station_m, 1.0);
    EXPECT_DOUBLE_EQ(drifted.back().counter, 0.0);
}

TEST(PushStory, RefusesAStepThatCouldNotEnd) {
    EXPECT_THROW(told(R"({"story": [{"do": "push", "to_m": 2, "speed": 0}]})"),
                 std::invalid_argument);
    EXPECT_THROW(told(R"({"start_m": 3, "story": [{"do": "push", "to_m": 2}]})"),
                 std::invalid_argument);
    EXPECT_THROW(told(R"({"story": [{"do": "hold", "for_s": 1e9}]})"), std::invalid_argument);
}

TEST(Scenario, RefusesWordsItDoesNotKnow) {
    EXPECT_THROW(parse_scenario(R"({"story": [{"do": "fly"}]})"), std::invalid_argument);
    EXPECT_THROW(parse_scenario("not a scenario"), std::invalid_argument);
    EXPECT_THROW(load_scenario("/no/such/scenario.json"), std::invalid_argument);
}

}  // namespace
}  // namespace sondeline::support
