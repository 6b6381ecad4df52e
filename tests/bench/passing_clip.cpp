#include "bench/passing_clip.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "support/training/chance.hpp"

namespace sondeline::bench {

namespace {

using namespace support;

// Feet of 1, 2, … and metres as pipes are made; see src/footage/passing/lay_lengths.hpp.
constexpr std::array kSticks_m{0.6096, 0.9144, 1.0, 1.2192, 1.524, 1.8288, 2.0, 2.4384, 3.0, 3.048};

void lay_fittings(cv::RNG& chance, PassingClip& clip) {
    Scenario& scenario = clip.look.scenario;
    const int fittings = whole_between(chance, 0, 2);
    double at_m = 1.5;
    for (int i = 0; i < fittings; ++i) {
        at_m += between(chance, 0.5, 3.5);
        if (at_m > clip.last_m - 0.8) break;
        Bend bend;
        bend.station_m = at_m;
        const double angle = std::array{22.5, 45.0, 45.0, 90.0}[chance.uniform(0, 4)];
        bend.length_m = angle > 60.0 ? between(chance, 0.18, 0.3) : between(chance, 0.08, 0.15);
        (happens(chance, 0.8) ? bend.yaw_deg : bend.pitch_deg) =
            happens(chance, 0.5) ? angle : -angle;
        scenario.pipe.bends.push_back(bend);
        clip.turns_m.push_back(at_m);
        clip.joints_m.push_back(at_m - 0.5 * bend.length_m);
        clip.joints_m.push_back(at_m + 0.5 * bend.length_m);
        at_m += 1.0;
    }
}

}  // namespace

PassingClip passing_clip(Half half, std::uint64_t number) {
    PassingClip clip;
    clip.look = water_clip(half, number);
    cv::RNG chance(0x9FB21C651E98DF25ULL * (2 * number + (half == Half::judged ? 2 : 1)));
    chance.next();
    Scenario& scenario = clip.look.scenario;
    clip.look.water.reset();
    scenario.pipe.water.clear();
    clip.last_m = between(chance, 9.0, 13.0);
    clip.lay_length_m = number % 4 == 2 ? 0.0 : kSticks_m[chance.uniform(0, 10)];
    scenario.pipe.joint_spacing_m = clip.lay_length_m;
    for (double at = clip.lay_length_m; clip.lay_length_m > 0.0 && at < clip.last_m;
         at += clip.lay_length_m) {
        clip.joints_m.push_back(at);
    }
    if (number % 2 == 1) lay_fittings(chance, clip);
    std::ranges::sort(clip.joints_m);
    if (number % 3 == 0) {
        clip.darker_m = between(chance, 3.0, clip.last_m - 2.0);
        scenario.pipe.stains.push_back(
            {*clip.darker_m, clip.last_m + 3.0, 1.0, between(chance, 0.4, 0.6), false});
    }
    scenario.reel.scale = between(chance, 0.97, 1.03);
    StoryStep hold;
    hold.for_s = 1.0;
    StoryStep push;
    push.action = StoryAction::push;
    push.to_m = clip.last_m;
    push.speed = between(chance, 0.18, 0.34);
    push.surge = 0.4;
    scenario.story = {hold, push, hold};
    clip.look.words += fmt::format(", sticks of {:.3f} m, {} fittings{}", clip.lay_length_m,
                                   clip.turns_m.size(), clip.darker_m ? ", darker on the way" : "");
    return clip;
}

}  // namespace sondeline::bench
