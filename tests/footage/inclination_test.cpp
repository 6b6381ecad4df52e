#include "footage/inclination.hpp"

#include <cmath>
#include <fstream>
#include <sstream>

#include <gtest/gtest.h>

#include "footage/lavfi_clip.hpp"
#include "support/footage.hpp"
#include "support/smooth_noise.hpp"

namespace sondeline {
namespace {

// Two stands, a push, a pull over the same ground; what is shown follows from `shown`.
template <class Shown>
std::vector<PairedValue> story(Shown&& shown) {
    std::vector<PairedValue> values;
    const auto at = [&](double counter) {
        const double time_s = 0.1 * static_cast<double>(values.size());
        values.push_back({time_s, counter, std::round(10.0 * shown(counter, time_s)) / 10.0});
    };
    for (int i = 0; i < 25; ++i) at(0.0);
    for (int i = 0; i <= 60; ++i) at(0.1 * i);
    for (int i = 0; i < 25; ++i) at(6.0);
    for (int i = 60; i >= 20; --i) at(0.1 * i);
    return values;
}

TEST(Inclination, GoesWithThePlaceAndRestsWithTheHead) {
    const auto values = story([](double counter, double) { return 3.0 * std::sin(counter); });
    EXPECT_TRUE(is_inclination(values, 0.1, 0.1, false));
}

TEST(Inclination, IsNoFigureThatWandersByItself) {
    const auto values = story([](double, double time_s) { return 21.0 + std::sin(0.5 * time_s); });
    EXPECT_FALSE(is_inclination(values, 0.1, 0.1, true));
}

TEST(Inclination, IsNoSecondCounter) {
    const auto values = story([](double counter, double) { return counter - 2.0; });
    EXPECT_FALSE(is_inclination(values, 0.1, 0.1, true));
}

TEST(Inclination, IsNotClaimedFromAFigureThatHardlyChangesOrOnAPushWithoutReturn) {
    const auto still = story([](double counter, double) { return counter > 3.0 ? 1.1 : 1.0; });
    EXPECT_FALSE(is_inclination(still, 0.1, 0.1, true));
    auto once = story([](double counter, double) { return 3.0 * std::sin(counter); });
    once.resize(25 + 61 + 25);
    EXPECT_FALSE(is_inclination(once, 0.1, 0.1, false)) << "nothing says that it is an inclination";
    EXPECT_TRUE(is_inclination(once, 0.1, 0.1, true));
}

TEST(GradeLog, GivesPercentOfDegreesAndNothingForAnUnknownUnit) {
    GradeLog log;
    log.unit = InclinationUnit::degree;
    // tan 45 degrees = 1: a grade of 100 percent.
    EXPECT_NEAR(*log.percent({0.0, 0.0, 45.0}), 100.0, 1e-9);
    log.unit = InclinationUnit::percent;
    EXPECT_EQ(log.percent({0.0, 0.0, -1.4}), -1.4);
    log.unit = InclinationUnit::unknown;
    EXPECT_FALSE(log.percent({0.0, 0.0, -1.4}).has_value());
}

TEST(Inclination, InThePictureBecomesALogOverTheCounter) {
    const ScratchFolder folder;
    const support::Scenario scenario = support::parse_scenario(R"({"seed": 21, "overlays": [[
        {"role": "counter", "x": 30, "y": -24, "look": "outline", "counter": {"places": 4}},
        {"role": "inclination", "text": "#%", "x": -30, "y": 24, "look": "outline",
         "counter": {"places": 2, "plus_sign": true}}]],
        "story": [{"do": "hold", "for_s": 2.5}, {"do": "push", "to_m": 2, "speed": 0.25},
                  {"do": "hold", "for_s": 2.5}, {"do": "pull", "to_m": 0.5, "speed": 0.25},
                  {"do": "hold", "for_s": 2}, {"do": "push", "to_m": 2.5, "speed": 0.25}],
        "encoding": {"rate": "15"}})");
    const auto clip = folder / "run.mkv";
    support::make_footage(scenario, clip);
    const Track track = read_clip(clip);
    ASSERT_TRUE(track.format.has_value());
    EXPECT_EQ(track.format->unit, CounterUnit::foot);
    ASSERT_TRUE(track.grade.has_value());
    EXPECT_EQ(track.grade->unit, InclinationUnit::percent);
    ASSERT_GT(track.grade->points.size(), 100U);
    // The truth file names the station of every frame, the maker's noise the figure there.
    std::ifstream truth(clip.string() + ".truth.csv");
    std::string row;
    std::getline(truth, row);
    std::vector<double> stations_m;
    while (std::getline(truth, row)) {
        std::istringstream cells(row);
        std::string cell;
        for (int i = 0; i < 4; ++i) std::getline(cells, cell, ',');
        stations_m.push_back(std::stod(cell));
    }
    std::size_t off = 0;
    for (const GradePoint& point : track.grade->points) {
        const auto frame = static_cast<std::size_t>(std::lround(point.time_s * 15.0));
        ASSERT_LT(frame, stations_m.size());
        const double shown =
            4.0 * support::smooth_noise(support::mixed(21, 57), stations_m[frame] * 1.3);
        off += std::abs(point.inclination - shown) > 0.15 ? 1 : 0;
    }
    EXPECT_LE(off * 50, track.grade->points.size());
}

}  // namespace
}  // namespace sondeline
