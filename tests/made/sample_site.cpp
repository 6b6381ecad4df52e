#include "made/sample_site.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

namespace sondeline::made {

namespace {

constexpr double metres_per_foot = 0.3048;
constexpr double rad = std::numbers::pi / 180.0;

// Where a pipe leaves a structure: the middle of the structure, moved to its wall.
InventedPipe pipe_from(const SampleStructure& structure, double heading_deg, double to_wall_m,
                       double depth_m) {
    InventedPipe pipe;
    pipe.heading_rad = heading_deg * rad;
    pipe.start_e_m = structure.e_m + to_wall_m * std::sin(pipe.heading_rad);
    pipe.start_n_m = structure.n_m + to_wall_m * std::cos(pipe.heading_rad);
    pipe.start_invert_m = ground_m(structure.e_m, structure.n_m) - depth_m;
    return pipe;
}

std::vector<double> every(double first_ft, double step_ft, double last_ft) {
    std::vector<double> stations;
    for (double ft = first_ft; ft <= last_ft; ft += step_ft) stations.push_back(ft);
    return stations;
}

// The building sewer with the sag under the old walnut stump.
SampleRun building_sewer(const SampleStructure& house) {
    SampleRun run{"BS",      "house.mp4", "building sewer", "house",
                  "tank in", "open",      "cast iron",      "HOUSE TO TANK"};
    run.pipe = pipe_from(house, 168.0, 0.0, 0.62);
    run.pipe.fall = 0.021;
    run.pipe.length_m = 10.05;
    run.pipe.sags = {{5.6, 4.0, 0.075}};
    run.shown_at_start_ft = 0.0;
    run.holds_ft = every(5.0, 4.5, 30.0);
    return run;
}

SampleRun effluent_line(const SampleStructure& tank) {
    SampleRun run{"EL",   "tank_to_box.mp4", "effluent line", "tank out", "box",
                  "open", "PVC SDR 35",      "TANK TO BOX"};
    run.pipe = pipe_from(tank, 168.0, 0.0, 0.76);
    run.pipe.fall = 0.0125;
    run.pipe.length_m = 17.6;
    run.pipe.turns = {{10.3, -45.0 * rad}};
    run.zeroed_in_footage = true;
    run.holds_ft = every(7.0, 7.0, 55.0);
    run.with_clock = true;
    return run;
}

SampleRun lateral_1(const SampleStructure& box) {
    SampleRun run{"L1", "lateral1.mp4", "lateral",        "box",
                  "",   "open",         "PVC perforated", "LATERAL 1"};
    run.pipe = pipe_from(box, 96.0, 0.15, 0.86);
    run.pipe.fall = 0.0035;
    run.pipe.length_m = 19.05;
    run.pipe.turns = {{6.0, 1.5 * rad}, {12.0, 2.0 * rad}};
    run.shown_at_start_ft = 2.3;
    run.holds_ft = every(7.0, 8.5, 60.0);
    run.roots_m = {13.4};
    return run;
}

SampleRun lateral_2(const SampleStructure& box) {
    SampleRun run{"L2", "lateral2.avi", "lateral",        "box",
                  "",   "open",         "PVC perforated", "LATERAL 2"};
    run.pipe = pipe_from(box, 131.0, 0.15, 0.87);
    run.pipe.fall = 0.004;
    run.pipe.length_m = 15.9;
    run.pipe.turns = {{9.0, -2.0 * rad}};
    run.holds_ft = every(6.0, 8.0, 51.0);
    run.with_clock = true;
    run.mpeg4 = true;
    return run;
}

SampleRun lateral_3(const SampleStructure& box) {
    SampleRun run{"L3", "lateral3.mp4", "lateral",        "box",
                  "",   "capped",       "PVC perforated", "LATERAL 3"};
    run.pipe = pipe_from(box, 166.0, 0.15, 0.87);
    run.pipe.fall = 0.003;
    run.pipe.length_m = 1.35;
    run.holds_ft = {2.5};
    run.capped = true;
    return run;
}

support::OverlayField counter_field(const SampleRun& run) {
    support::OverlayField field;
    field.role = support::FieldRole::counter;
    field.digit_height_px = 26;
    field.x = 24;
    field.y = -24;
    field.counter.suffix = " ft";
    if (run.mpeg4) {
        field.face = "LiberationMono-Bold.ttf";
        field.counter.places = 4;
        field.ink.outline_px = 2;
        field.digit_height_px = 22;
    } else {
        field.counter.places = 3;
        field.ink.box_opacity = 1.0;
    }
    return field;
}

support::OverlayField plain_field(support::FieldRole role, const std::string& text, int x) {
    support::OverlayField field;
    field.role = role;
    field.text = text;
    field.x = x;
    field.y = 22;
    field.digit_height_px = 18;
    field.ink.outline_px = 1;
    return field;
}

std::vector<support::StoryStep> story_of(const SampleSite& site, const SampleRun& run) {
    using support::StoryAction;
    const double m_per_count = metres_per_foot * site.reel_scale;
    std::vector<support::StoryStep> story;
    story.push_back({.action = StoryAction::hold, .for_s = 2.4});
    if (run.zeroed_in_footage) {
        story.push_back({.action = StoryAction::zero, .value = 0.0});
        story.push_back({.action = StoryAction::hold, .for_s = 2.0});
    }
    for (const double hold_ft : run.holds_ft) {
        story.push_back(
            {.action = StoryAction::push, .to_m = hold_ft * m_per_count, .speed = 0.33});
        story.push_back({.action = StoryAction::hold, .for_s = 2.6});
    }
    story.push_back({.action = StoryAction::push, .to_m = run.pipe.length_m, .speed = 0.3});
    story.push_back({.action = StoryAction::hold, .for_s = 3.0});
    // Where water stands, the whole way back is recorded too, as it is believed where both ways
    // show it.
    const double back_m = run.pipe.sags.empty() ? std::max(0.2, run.pipe.length_m - 1.2) : 0.3;
    story.push_back({.action = StoryAction::pull, .to_m = back_m, .speed = 0.4, .surge = 0.3});
    return story;
}

void fill_with_water(const SampleSite& site, const SampleRun& run, support::PipeScene& scene) {
    std::vector<double> stations;
    for (double s = 0.0; s <= run.pipe.length_m; s += 0.1) stations.push_back(s);
    const std::vector<double> depths = standing_water_m(run.pipe, stations);
    for (std::size_t i = 0; i < stations.size(); ++i) {
        scene.water.push_back({stations[i], depths[i] / site.diameter_m});
    }
}

// Low rates, as a recorder's small card makes them: all clips together stay below 5 MiB. Where
// water stands, a little more, as its shores are faint.
support::Encoding encoding_of(const SampleRun& run) {
    support::Encoding encoding;
    encoding.rate = "15";
    encoding.kbit_per_s = run.pipe.sags.empty() ? 90 : 140;
    encoding.key_interval = 75;
    encoding.thorough = true;
    if (run.mpeg4) {
        encoding.codec = support::Codec::mpeg4;
        encoding.width = 480;
        encoding.height = 360;
        encoding.rate = "12";
    }
    return encoding;
}

// The runs were pushed one after the other, a quarter of an hour apart.
int minutes_after_nine(const SampleSite& site, const SampleRun& run) {
    int minutes = 5;
    for (const SampleRun& earlier : site.runs) {
        if (earlier.id == run.id) break;
        minutes += 15;
    }
    return minutes;
}

}  // namespace

double ground_m(double e_m, double n_m) {
    return 30.62 - 0.009 * e_m + 0.014 * n_m;
}

SampleSite sample_site() {
    SampleSite site;
    const SampleStructure house{"house", "building", 3.0, 24.0, "", "cleanout at the south wall"};
    const SampleRun bs = building_sewer(house);
    const PlaceInPipe inlet = place_at(bs.pipe, bs.pipe.length_m);
    const SampleStructure tank_in{"tank in", "tank",     inlet.e_m,
                                  inlet.n_m, "1000 gal", "inlet end, two compartments"};
    const double axis = 168.0 * rad;
    const SampleStructure tank_out{
        "tank out", "tank",      inlet.e_m + 2.6 * std::sin(axis), inlet.n_m + 2.6 * std::cos(axis),
        "",         "outlet end"};
    const SampleRun el = effluent_line(tank_out);
    const PlaceInPipe at_box = place_at(el.pipe, el.pipe.length_m);
    const SampleStructure box{"box",
                              "distribution box",
                              at_box.e_m + 0.15 * std::sin(123.0 * rad),
                              at_box.n_m + 0.15 * std::cos(123.0 * rad),
                              "",
                              "three ports, lid sound"};
    site.structures = {house,
                       tank_in,
                       tank_out,
                       box,
                       {"BM", "reference", 1.2, 26.5, "", "nail in the step"},
                       {"corner", "reference", 9.6, 24.0, "", "south-east corner of the house"}};
    site.runs = {bs, el, lateral_1(box), lateral_2(box), lateral_3(box)};
    return site;
}

support::Scenario scenario_of(const SampleSite& site, const SampleRun& run) {
    support::Scenario scenario;
    scenario.seed = 100 + static_cast<std::uint64_t>(run.id.back());
    const int minutes = minutes_after_nine(site, run);
    scenario.clock_s = 9.0 * 3600.0 + minutes * 60.0;
    scenario.pipe.diameter_m = site.diameter_m;
    scenario.pipe.length_m = run.pipe.length_m + (run.capped ? 0.25 : 0.0);
    scenario.pipe.end = run.capped ? support::PipeEnd::cap : support::PipeEnd::beyond_view;
    if (run.material == "cast iron") scenario.pipe.material = support::Material::iron;
    scenario.pipe.roots_m = run.roots_m;
    for (const Turn& turn : run.pipe.turns) {
        if (std::abs(turn.turn_rad) > 0.1) {
            scenario.pipe.bends.push_back({turn.station_m, 0.15, turn.turn_rad / rad, 0.0});
        }
    }
    if (!run.pipe.sags.empty()) fill_with_water(site, run, scenario.pipe);
    scenario.camera.noise_sd = 0.8;
    scenario.reel.counter_at_start = run.zeroed_in_footage ? 1.7 : run.shown_at_start_ft;
    scenario.reel.scale = site.reel_scale;
    support::OverlaySet set{counter_field(run),
                            plain_field(support::FieldRole::title, run.title, 24)};
    if (run.with_clock) set.push_back(plain_field(support::FieldRole::clock, "", -24));
    scenario.overlays = {set};
    scenario.story = story_of(site, run);
    scenario.encoding = encoding_of(run);
    scenario.encoding.creation_time =
        fmt::format("2026-05-14T{:02}:{:02}:00Z", 14 + minutes / 60, minutes % 60);
    return scenario;
}

}  // namespace sondeline::made
