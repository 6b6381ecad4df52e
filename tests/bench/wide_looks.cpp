#include "bench/wide_looks.hpp"

#include <array>

#include <fmt/format.h>

#include "support/training/chance.hpp"

namespace sondeline::bench {

namespace {

using namespace support;

constexpr double kFoot_m = 0.3048;

template <class T, std::size_t n>
T any_of(cv::RNG& chance, const std::array<T, n>& list) {
    return list[static_cast<std::size_t>(chance.uniform(0, static_cast<int>(n)))];
}

// What any camera may do.
void draw_camera(cv::RNG& chance, CameraScene& camera) {
    camera.light_reach_radii = by_ratio(chance, 2.2, 11.0);
    camera.lamp_share = happens(chance, 0.5) ? between(chance, 0.0, 0.9) : 0.0;
    camera.vignette = happens(chance, 0.5) ? between(chance, 0.0, 0.5) : 0.0;
    camera.brightness = between(chance, 0.6, 1.3);
    camera.noise_sd = by_ratio(chance, 0.8, 7.0);
    camera.wander = between(chance, 0.2, 1.8);
    camera.roll_start_deg = between(chance, -180.0, 180.0);
    camera.roll_deg_per_m = happens(chance, 0.5) ? between(chance, -20.0, 20.0) : 0.0;
    camera.ripple = by_ratio(chance, 0.15, 2.5);
    camera.wake = between(chance, 0.0, 2.0);
    camera.lens_height =
        happens(chance, 0.5) ? between(chance, 0.42, 0.60) : between(chance, 0.22, 0.42);
    if (happens(chance, 0.3)) {
        camera.lamp_side = between(chance, 0.2, 0.6);
        camera.lamp_side_deg = between(chance, 0.0, 360.0);
    }
}

std::string glazed(cv::RNG& chance, Scenario& scenario) {
    PipeScene& pipe = scenario.pipe;
    pipe.material = Material::clay;
    pipe.wall = WallSurface{between(chance, 70.0, 100.0),
                            between(chance, 5.0, 14.0),
                            between(chance, 2.0, 7.0),
                            60.0,
                            0.0,
                            0.35,
                            0.6};
    pipe.diameter_m = any_of(chance, std::array{0.1, 0.15, 0.225});
    pipe.joint_spacing_m = any_of(chance, std::array{0.6, 0.9, 1.5});
    pipe.shine = between(chance, 0.2, 0.8);
    return "glazed";
}

std::string concrete(cv::RNG& chance, Scenario& scenario) {
    PipeScene& pipe = scenario.pipe;
    pipe.material = Material::corrugated;  // grey
    pipe.wall = WallSurface{between(chance, 105.0, 150.0),
                            between(chance, 10.0, 24.0),
                            between(chance, 12.0, 26.0),
                            100.0,
                            0.0,
                            0.35,
                            1.4};
    pipe.diameter_m = any_of(chance, std::array{0.15, 0.225, 0.3});
    pipe.joint_spacing_m = between(chance, 1.0, 2.5);
    return "concrete";
}

std::string scaled_iron(cv::RNG& chance, Scenario& scenario) {
    PipeScene& pipe = scenario.pipe;
    pipe.material = Material::iron;
    pipe.wall = WallSurface{between(chance, 52.0, 85.0),
                            between(chance, 16.0, 30.0),
                            between(chance, 8.0, 18.0),
                            40.0,
                            0.0,
                            0.35,
                            2.2};
    pipe.diameter_m = any_of(chance, std::array{0.075, 0.1, 0.1, 0.15});
    pipe.joint_spacing_m = between(chance, 1.2, 3.0);
    return "scaled iron";
}

std::string ribbed(cv::RNG& chance, Scenario& scenario) {
    PipeScene& pipe = scenario.pipe;
    pipe.material = Material::corrugated;
    const double ring_m =
        happens(chance, 0.5) ? between(chance, 0.007, 0.013) : between(chance, 0.026, 0.05);
    pipe.wall = WallSurface{between(chance, 60.0, 165.0),
                            between(chance, 6.0, 16.0),
                            between(chance, 3.0, 10.0),
                            40.0,
                            ring_m,
                            between(chance, 0.12, 0.5),
                            0.8};
    pipe.diameter_m = any_of(chance, std::array{0.1, 0.11, 0.16});
    pipe.joint_spacing_m = between(chance, 3.0, 6.0);
    return "ribbed";
}

std::string lined(cv::RNG& chance, Scenario& scenario) {
    PipeScene& pipe = scenario.pipe;
    pipe.wall = WallSurface{between(chance, 140.0, 200.0),
                            between(chance, 3.0, 10.0),
                            between(chance, 2.0, 6.0),
                            0.0,
                            0.0,
                            0.35,
                            0.3};
    pipe.diameter_m = any_of(chance, std::array{0.1, 0.15, 0.2});
    pipe.joint_spacing_m = 0.0;
    pipe.folds = whole_between(chance, 1, 4);
    return "lined";
}

std::string bright_plastic(cv::RNG& chance, Scenario& scenario) {
    PipeScene& pipe = scenario.pipe;
    pipe.wall = WallSurface{between(chance, 170.0, 215.0),
                            between(chance, 3.0, 8.0),
                            between(chance, 1.5, 5.0),
                            120.0,
                            0.0,
                            0.35,
                            0.4};
    pipe.diameter_m = any_of(chance, std::array{0.075, 0.1, 0.125, 0.15});
    pipe.joint_spacing_m = between(chance, 1.0, 5.0);
    return "bright plastic";
}

std::string other_lens(cv::RNG& chance, Scenario& scenario) {
    PipeScene& pipe = scenario.pipe;
    CameraScene& camera = scenario.camera;
    pipe.material = happens(chance, 0.5) ? Material::iron : Material::plastic;
    pipe.diameter_m = any_of(chance, std::array{0.1, 0.11, 0.15});
    pipe.joint_spacing_m = between(chance, 1.0, 3.5);
    camera.focal = happens(chance, 0.5) ? between(chance, 0.52, 0.65) : between(chance, 0.88, 1.1);
    camera.beam = happens(chance, 0.6) ? between(chance, 0.5, 1.2) : 0.0;
    return fmt::format("lens of {:.2f}", camera.focal);
}

std::string worn_recorder(cv::RNG& chance, Scenario& scenario) {
    PipeScene& pipe = scenario.pipe;
    CameraScene& camera = scenario.camera;
    pipe.material = happens(chance, 0.5) ? Material::iron : Material::plastic;
    pipe.diameter_m = any_of(chance, std::array{0.1, 0.15});
    pipe.joint_spacing_m = between(chance, 1.0, 3.5);
    camera.analogue_blur_px = between(chance, 1.0, 1.8);
    camera.ringing = between(chance, 0.0, 0.5);
    camera.previous_frame = happens(chance, 0.5) ? between(chance, 0.1, 0.4) : 0.0;
    camera.line_noise_sd = between(chance, 0.0, 4.0);
    camera.fog = happens(chance, 0.5) ? between(chance, 0.01, 0.06) : 0.0;
    return "worn recorder";
}

void draw_overlay(cv::RNG& chance, WaterClip& clip) {
    Scenario& scenario = clip.scenario;
    support::OverlayField counter;
    counter.role = FieldRole::counter;
    counter.digit_height_px = whole_between(chance, 18, 40);
    counter.face =
        any_of(chance, std::array{"DejaVuSansMono-Bold.ttf", "DejaVuSansCondensed-Bold.ttf",
                                  "DejaVuSansMono.ttf", "DejaVuSerif-Bold.ttf"});
    const bool boxed = happens(chance, 0.35);
    counter.ink.outline_px = boxed ? 0 : whole_between(chance, 1, 3);
    counter.ink.box_opacity = boxed ? between(chance, 0.5, 0.95) : 0.0;
    counter.x = whole_between(chance, 12, 60) * (happens(chance, 0.5) ? 1 : -1);
    counter.y = whole_between(chance, 10, 50) * (happens(chance, 0.6) ? -1 : 1);
    const bool metres = happens(chance, 0.4);
    counter.counter.scale = metres ? CounterScale::metres : CounterScale::feet;
    counter.counter.decimals = metres ? 2 : 1;
    counter.counter.suffix = metres ? " m" : " ft";
    clip.counter_unit_m = metres ? 1.0 : kFoot_m;
    clip.counter_at_start = happens(chance, 0.3) ? whole_between(chance, 1, 60) : 0.0;
    scenario.reel.counter_at_start = clip.counter_at_start;
    scenario.overlays = {{counter}};
    if (!happens(chance, 0.4)) return;
    support::OverlayField title;
    title.role = FieldRole::title;
    title.text = any_of(chance, std::array{"RUN 4 UPSTREAM", "LATERAL FROM HOUSE", "SECTION B"});
    title.digit_height_px = whole_between(chance, 14, 22);
    title.ink.outline_px = 1;
    title.x = -counter.x;
    title.y = -counter.y;
    scenario.overlays.front().push_back(title);
}

}  // namespace

void draw_wide_look(cv::RNG& chance, std::uint64_t turn, WaterClip& clip) {
    constexpr std::array kKinds{glazed, concrete,       scaled_iron, ribbed,
                                lined,  bright_plastic, other_lens,  worn_recorder};
    Scenario& scenario = clip.scenario;
    draw_camera(chance, scenario.camera);
    scenario.pipe.dirt = between(chance, 0.0, 1.0);
    scenario.pipe.murk = by_ratio(chance, 0.3, 2.4);
    scenario.encoding.rate = "12";
    scenario.encoding.kbit_per_s = whole_between(chance, 400, 1500);
    const std::string kind = kKinds[turn % kKinds.size()](chance, scenario);
    draw_overlay(chance, clip);
    clip.words = fmt::format("{} {:.0f} mm, lens at {:.2f}, murk {:.1f}", kind,
                             scenario.pipe.diameter_m * 1000, scenario.camera.lens_height,
                             scenario.pipe.murk);
}

}  // namespace sondeline::bench
