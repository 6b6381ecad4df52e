#include "bench/water_clip.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>
#include <opencv2/core.hpp>

#include "bench/wide_looks.hpp"
#include "support/training/chance.hpp"

namespace sondeline::bench {

namespace {

using namespace support;

constexpr double kFoot_m = 0.3048;

// What tuning sees of pipes, lamps, lenses and overlays, and what it does not.
void draw_look(cv::RNG& chance, bool held_out, WaterClip& clip) {
    Scenario& scenario = clip.scenario;
    PipeScene& pipe = scenario.pipe;
    CameraScene& camera = scenario.camera;
    const bool second = happens(chance, 0.5);
    pipe.material = held_out ? (second ? Material::corrugated : Material::clay)
                             : (second ? Material::iron : Material::plastic);
    pipe.diameter_m =
        held_out ? (happens(chance, 0.5) ? 0.125 : 0.2) : (happens(chance, 0.6) ? 0.1 : 0.15);
    pipe.joint_spacing_m = held_out ? between(chance, 0.8, 1.2) : between(chance, 1.5, 3.5);
    pipe.dirt = between(chance, 0.1, 0.8);
    pipe.murk = held_out ? between(chance, 0.6, 1.8) : between(chance, 0.4, 1.4);
    camera.light_reach_radii = held_out ? between(chance, 2.5, 4.0) : between(chance, 4.0, 7.0);
    camera.lamp_share = held_out ? between(chance, 0.6, 1.0) : between(chance, 0.0, 0.6);
    camera.vignette = held_out ? between(chance, 0.3, 0.6) : between(chance, 0.0, 0.3);
    camera.brightness = held_out ? between(chance, 0.65, 1.25) : between(chance, 0.75, 1.1);
    camera.noise_sd = between(chance, 1.0, held_out ? 6.0 : 4.5);
    camera.analogue_blur_px = held_out && happens(chance, 0.4) ? between(chance, 0.3, 0.9) : 0.0;
    camera.wander = between(chance, 0.4, 1.2);
    // On skids the lens is near the axis; without, the head lies on the invert.
    const bool skids = happens(chance, 0.5);
    camera.lens_height = skids ? between(chance, 0.44, 0.54) : between(chance, 0.26, 0.40);
    camera.roll_start_deg =
        happens(chance, 0.6) ? between(chance, -25.0, 25.0) : between(chance, -180.0, 180.0);
    camera.roll_deg_per_m = happens(chance, 0.5) ? between(chance, -12.0, 12.0) : 0.0;
    camera.ripple = between(chance, 0.3, 1.2);
    camera.wake = between(chance, 0.0, 1.0);
    scenario.encoding.rate = "12";
    scenario.encoding.kbit_per_s = whole_between(chance, 600, 1400);
    support::OverlayField counter;
    counter.role = FieldRole::counter;
    counter.digit_height_px = whole_between(chance, 22, 32);
    counter.face = held_out ? "DejaVuSans-Bold.ttf" : "DejaVuSansMono-Bold.ttf";
    counter.ink.outline_px = held_out ? 0 : 2;
    counter.ink.box_opacity = held_out ? 1.0 : 0.0;
    counter.x = whole_between(chance, 16, 40) * (happens(chance, 0.5) ? 1 : -1);
    counter.y = whole_between(chance, 14, 30) * (happens(chance, 0.6) ? -1 : 1);
    const bool metres = happens(chance, 0.4);
    counter.counter.scale = metres ? CounterScale::metres : CounterScale::feet;
    counter.counter.decimals = metres ? 2 : 1;
    counter.counter.suffix = metres ? " m" : " ft";
    clip.counter_unit_m = metres ? 1.0 : kFoot_m;
    clip.counter_at_start = happens(chance, 0.3) ? whole_between(chance, 1, 60) : 0.0;
    scenario.reel.counter_at_start = clip.counter_at_start;
    scenario.overlays = {{counter}};
    clip.words = fmt::format("{} {:.0f} mm, lens at {:.2f}",
                             std::array{"plastic", "clay", "iron",
                                        "corrugated"}[static_cast<std::size_t>(pipe.material)],
                             pipe.diameter_m * 1000, camera.lens_height);
}

// A flat surface over a sag: its depth is that of the sag's shape below the surface.
DrawnWater lay_pool(cv::RNG& chance, double first_m, double last_m, Scenario& scenario) {
    DrawnWater water;
    const double length_m = between(chance, 0.9, std::min(2.4, 0.75 * (last_m - first_m)));
    water.from_m = between(chance, first_m, last_m - length_m);
    water.to_m = water.from_m + length_m;
    water.deepest_ratio = between(chance, 0.08, 0.42);
    // Between a V and a smooth dip, its lowest place anywhere in the middle half.
    const double low = between(chance, 0.3, 0.7);
    const double smooth = between(chance, 0.0, 1.0);
    constexpr int kPieces = 24;
    for (int i = 0; i <= kPieces; ++i) {
        const double at = static_cast<double>(i) / kPieces;
        const double rise = at < low ? at / low : (1.0 - at) / (1.0 - low);
        const double dip = 0.5 * (1.0 - std::cos(CV_PI * rise));
        scenario.pipe.water.push_back(
            {water.from_m + at * length_m, water.deepest_ratio * std::lerp(rise, dip, smooth)});
    }
    return water;
}

// What may be taken for water, by turns.
std::string add_difficulty(cv::RNG& chance, std::uint64_t turn, double first_m, double last_m,
                           Scenario& scenario) {
    PipeScene& pipe = scenario.pipe;
    const double middle_m = 0.5 * (first_m + last_m);
    switch (turn % 10) {
        case 0: return "nothing else";
        case 1: pipe.trickle = between(chance, 0.02, 0.055); return "trickle";
        case 2: scenario.camera.droplets = whole_between(chance, 3, 9); return "droplets";
        case 3: scenario.camera.glare = between(chance, 0.5, 1.0); return "glare";
        case 4:
            pipe.deposits.push_back({middle_m - between(chance, 0.4, 1.0),
                                     middle_m + between(chance, 0.4, 1.0),
                                     between(chance, 0.05, 0.18)});
            return "deposits";
        case 5:
            pipe.stains.push_back({middle_m - between(chance, 0.5, 1.2),
                                   middle_m + between(chance, 0.5, 1.2), between(chance, 0.1, 0.3),
                                   between(chance, 0.35, 0.7), turn / 10 % 2 == 1});
            return turn / 10 % 2 == 1 ? "tide mark of a pool" : "tide mark";
        case 6: pipe.roots_m = {middle_m, middle_m + 0.6}; return "roots";
        case 7: pipe.shine = between(chance, 0.5, 1.0); return "wet shine";
        case 8:
            pipe.dirt = 1.0;
            pipe.trickle = between(chance, 0.01, 0.03);
            return "heavy dirt";
        default: break;
    }
    pipe.shine = 0.6;
    pipe.trickle = between(chance, 0.02, 0.05);
    scenario.camera.droplets = 4;
    return "shine, trickle, droplets";
}

void tell_push(cv::RNG& chance, double last_m, Scenario& scenario) {
    const auto step = [](StoryAction action, double to_m, double speed, double for_s) {
        StoryStep made;
        made.action = action;
        made.to_m = to_m;
        made.speed = speed;
        made.for_s = for_s;
        made.surge = 0.4;
        return made;
    };
    const double speed = between(chance, 0.16, 0.32);
    scenario.story = {step(StoryAction::hold, 0, 0.2, 1.0),
                      step(StoryAction::push, last_m, speed, 0),
                      step(StoryAction::hold, 0, 0.2, 1.0)};
    if (happens(chance, 0.35)) {
        scenario.story.push_back(
            step(StoryAction::pull, between(chance, 0.0, 0.3), between(chance, 0.35, 0.6), 0));
    }
}

}  // namespace

WaterClip water_clip(Half half, std::uint64_t number) {
    cv::RNG chance(0xD1B54A32D192ED03ULL * (2 * number + (half == Half::judged ? 2 : 1)));
    chance.next();
    WaterClip clip;
    clip.held_out = half == Half::judged && number % 4 < 2;
    clip.scenario.seed = 5000 + 10 * number + (half == Half::judged ? 7 : 3);
    if (half == Half::tuning && number >= first_wide_look) {
        draw_wide_look(chance, number / 4, clip);
    } else {
        draw_look(chance, clip.held_out, clip);
    }
    const double last_m = between(chance, 2.8, 3.6);
    clip.scenario.pipe.length_m = 60.0;
    if (number % 2 == 1) {
        clip.water = lay_pool(chance, 0.35, last_m - 0.2, clip.scenario);
        clip.words += fmt::format(", water {:.2f}", clip.water->deepest_ratio);
        // Half of the wet clips also show what makes it hard, but no mark of another level.
        if (number % 4 == 3) {
            constexpr std::array<std::uint64_t, 5> kWith{1, 2, 3, 6, 7};
            clip.words +=
                ", " + add_difficulty(chance, kWith[number / 4 % 5], 0.35, last_m, clip.scenario);
        }
    } else {
        clip.words += ", dry, " + add_difficulty(chance, number / 2, 0.35, last_m, clip.scenario);
    }
    tell_push(chance, last_m, clip.scenario);
    return clip;
}

void set_deepest(double ratio, WaterClip& clip) {
    if (!clip.water) return;
    for (WaterKnot& knot : clip.scenario.pipe.water) {
        knot.depth_ratio *= ratio / clip.water->deepest_ratio;
    }
    clip.water->deepest_ratio = ratio;
    clip.words += fmt::format(", drawn {:.3f} deep", ratio);
}

double drawn_ratio(const Scenario& scenario, double station_m) {
    const auto& knots = scenario.pipe.water;
    for (std::size_t i = 1; i < knots.size(); ++i) {
        const WaterKnot& a = knots[i - 1];
        const WaterKnot& b = knots[i];
        if (station_m < a.station_m || station_m > b.station_m) continue;
        return std::lerp(a.depth_ratio, b.depth_ratio,
                         (station_m - a.station_m) / std::max(1e-9, b.station_m - a.station_m));
    }
    return 0.0;
}

}  // namespace sondeline::bench
