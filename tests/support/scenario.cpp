#include "support/scenario.hpp"

#include <fstream>
#include <map>
#include <sstream>
#include <stdexcept>

#include <nlohmann/json.hpp>

namespace sondeline::support {

namespace {

using Json = nlohmann::json;

template <class T>
void take(const Json& from, const char* key, T& into) {
    if (const auto found = from.find(key); found != from.end()) found->get_to(into);
}

template <class T>
void take_word(const Json& from, const char* key, const std::map<std::string, T>& words, T& into) {
    const auto found = from.find(key);
    if (found == from.end()) return;
    const auto word = found->get<std::string>();
    const auto meaning = words.find(word);
    if (meaning == words.end()) {
        throw std::invalid_argument("scenario: " + std::string(key) + " cannot be " + word);
    }
    into = meaning->second;
}

// Calls `take_one(json, value)` for every member of an array.
template <class T, class TakeOne>
void take_list(const Json& from, const char* key, std::vector<T>& into, TakeOne take_one) {
    const auto found = from.find(key);
    if (found == from.end()) return;
    into.clear();
    for (const Json& member : *found) take_one(member, into.emplace_back());
}

void take_wall(const Json& from, WallSurface& wall) {
    take(from, "base", wall.base);
    take(from, "blotches", wall.blotches);
    take(from, "grain", wall.grain);
    take(from, "joint", wall.joint);
    take(from, "ring_m", wall.ring_m);
    take(from, "ring_contrast", wall.ring_contrast);
    take(from, "stains", wall.stains);
}

void take_pipe(const Json& from, PipeScene& pipe) {
    take(from, "diameter_m", pipe.diameter_m);
    take(from, "length_m", pipe.length_m);
    take(from, "joint_spacing_m", pipe.joint_spacing_m);
    take(from, "dirt", pipe.dirt);
    take(from, "roots_m", pipe.roots_m);
    take_word<PipeEnd>(
        from, "end",
        {{"beyond view", PipeEnd::beyond_view}, {"cap", PipeEnd::cap}, {"open", PipeEnd::open}},
        pipe.end);
    take_word<Material>(from, "material",
                        {{"plastic", Material::plastic},
                         {"clay", Material::clay},
                         {"iron", Material::iron},
                         {"corrugated", Material::corrugated}},
                        pipe.material);
    take_list(from, "water", pipe.water, [](const Json& pair, WaterKnot& knot) {
        knot = {pair.at(0).get<double>(), pair.at(1).get<double>()};
    });
    take(from, "folds", pipe.folds);
    if (const auto wall = from.find("wall"); wall != from.end()) {
        take_wall(*wall, pipe.wall.emplace());
    }
    take(from, "trickle", pipe.trickle);
    take(from, "shine", pipe.shine);
    take(from, "murk", pipe.murk);
    take_list(from, "stains", pipe.stains, [](const Json& one, StainBand& stain) {
        take(one, "from_m", stain.from_m);
        take(one, "to_m", stain.to_m);
        take(one, "depth_ratio", stain.depth_ratio);
        take(one, "darkness", stain.darkness);
        take(one, "sag", stain.sag);
    });
    take_list(from, "deposits", pipe.deposits, [](const Json& one, Deposit& deposit) {
        take(one, "from_m", deposit.from_m);
        take(one, "to_m", deposit.to_m);
        take(one, "depth_ratio", deposit.depth_ratio);
    });
    take_list(from, "bends", pipe.bends, [](const Json& one, Bend& bend) {
        take(one, "station_m", bend.station_m);
        take(one, "length_m", bend.length_m);
        take(one, "yaw_deg", bend.yaw_deg);
        take(one, "pitch_deg", bend.pitch_deg);
    });
}

void take_camera(const Json& from, CameraScene& camera) {
    take(from, "noise_sd", camera.noise_sd);
    take(from, "line_noise_sd", camera.line_noise_sd);
    take(from, "analogue_blur_px", camera.analogue_blur_px);
    take(from, "ringing", camera.ringing);
    take(from, "previous_frame", camera.previous_frame);
    take(from, "wander", camera.wander);
    take(from, "roll_deg", camera.roll_deg);
    take(from, "roll_start_deg", camera.roll_start_deg);
    take(from, "roll_deg_per_m", camera.roll_deg_per_m);
    take(from, "lens_height", camera.lens_height);
    take(from, "ripple", camera.ripple);
    take(from, "wake", camera.wake);
    take(from, "light_reach_radii", camera.light_reach_radii);
    take(from, "lamp_share", camera.lamp_share);
    take(from, "vignette", camera.vignette);
    take(from, "focal", camera.focal);
    take(from, "beam", camera.beam);
    take(from, "lamp_side", camera.lamp_side);
    take(from, "lamp_side_deg", camera.lamp_side_deg);
    take(from, "fog", camera.fog);
    take(from, "droplets", camera.droplets);
    take(from, "glare", camera.glare);
    take(from, "exposure_swing", camera.exposure_swing);
    take(from, "brightness", camera.brightness);
    take(from, "upside_down", camera.upside_down);
}

void take_counter(const Json& from, CounterStyle& counter) {
    take_word<CounterScale>(from, "scale",
                            {{"ft", CounterScale::feet},
                             {"m", CounterScale::metres},
                             {"ft in", CounterScale::feet_and_inches}},
                            counter.scale);
    take(from, "decimals", counter.decimals);
    take(from, "places", counter.places);
    take_word<char>(from, "pad", {{"0", '0'}, {" ", ' '}}, counter.pad);
    take(from, "plus_sign", counter.plus_sign);
    take(from, "comma", counter.comma);
    take(from, "implied_point", counter.implied_point);
    take(from, "prefix", counter.prefix);
    take(from, "suffix", counter.suffix);
}

// The usual looks by name; single members may be changed beside it.
InkStyle named_ink(const std::string& name) {
    InkStyle ink;
    if (name == "plain") return ink;
    if (name == "outline") {
        ink.outline_px = 1;
    } else if (name == "black box") {
        ink.box_opacity = 1.0;
    } else if (name == "half box") {
        ink.box_opacity = 0.5;
    } else if (name == "yellow outline") {
        ink.outline_px = 1;
        ink.blue = 40;
    } else if (name == "faint outline") {
        ink.outline_px = 1;
        ink.opacity = 0.6;
    } else {
        throw std::invalid_argument("scenario: no ink is named " + name);
    }
    return ink;
}

void take_ink(const Json& from, InkStyle& ink) {
    if (const auto look = from.find("look"); look != from.end()) {
        ink = named_ink(look->get<std::string>());
    }
    take(from, "red", ink.red);
    take(from, "green", ink.green);
    take(from, "blue", ink.blue);
    take(from, "opacity", ink.opacity);
    take(from, "outline_px", ink.outline_px);
    take(from, "box_opacity", ink.box_opacity);
    take(from, "box_margin_px", ink.box_margin_px);
}

void take_field(const Json& from, OverlayField& field) {
    take_word<FieldRole>(from, "role",
                         {{"counter", FieldRole::counter},
                          {"clock", FieldRole::clock},
                          {"date", FieldRole::date},
                          {"title", FieldRole::title},
                          {"elapsed", FieldRole::elapsed},
                          {"frame number", FieldRole::frame_number},
                          {"inclination", FieldRole::inclination},
                          {"decoy", FieldRole::decoy}},
                         field.role);
    take(from, "text", field.text);
    take(from, "face", field.face);
    take(from, "digit_height_px", field.digit_height_px);
    take(from, "fixed_pitch", field.fixed_pitch);
    take(from, "antialiased", field.antialiased);
    take(from, "slant", field.slant);
    take(from, "stretch", field.stretch);
    take(from, "x", field.x);
    take(from, "y", field.y);
    take(from, "flush_right", field.flush_right);
    take(from, "refresh_hz", field.refresh_hz);
    take(from, "counter_offset", field.counter_offset);
    if (const auto counter = from.find("counter"); counter != from.end()) {
        take_counter(*counter, field.counter);
    }
    take_ink(from, field.ink);
}

void take_step(const Json& from, StoryStep& step) {
    take_word<StoryAction>(from, "do",
                           {{"push", StoryAction::push},
                            {"pull", StoryAction::pull},
                            {"hold", StoryAction::hold},
                            {"hesitate", StoryAction::hesitate},
                            {"zero", StoryAction::zero},
                            {"overlay", StoryAction::overlay},
                            {"slip", StoryAction::slip},
                            {"drift", StoryAction::drift},
                            {"black", StoryAction::black},
                            {"blue", StoryAction::blue},
                            {"freeze", StoryAction::freeze}},
                           step.action);
    take(from, "to_m", step.to_m);
    take(from, "speed", step.speed);
    take(from, "surge", step.surge);
    take(from, "for_s", step.for_s);
    take(from, "by_m", step.by_m);
    take(from, "value", step.value);
    take(from, "set", step.set);
}

void take_encoding(const Json& from, Encoding& encoding) {
    take_word<Codec>(from, "codec",
                     {{"h264", Codec::h264},
                      {"h264 baseline", Codec::h264_baseline},
                      {"hevc", Codec::hevc},
                      {"mpeg2", Codec::mpeg2},
                      {"mpeg4", Codec::mpeg4},
                      {"msmpeg4", Codec::msmpeg4},
                      {"mjpeg", Codec::mjpeg}},
                     encoding.codec);
    take(from, "width", encoding.width);
    take(from, "height", encoding.height);
    take(from, "rate", encoding.rate);
    take(from, "kbit_per_s", encoding.kbit_per_s);
    take(from, "quality", encoding.quality);
    take(from, "key_interval", encoding.key_interval);
    take(from, "interlaced", encoding.interlaced);
    take(from, "thorough", encoding.thorough);
    take(from, "creation_time", encoding.creation_time);
}

void take_scenario(const Json& from, Scenario& scenario) {
    const auto part = [&from](const char* key) { return from.value(key, Json::object()); };
    take(from, "seed", scenario.seed);
    take(from, "start_m", scenario.start_m);
    take(from, "clock_s", scenario.clock_s);
    take_pipe(part("pipe"), scenario.pipe);
    take_camera(part("camera"), scenario.camera);
    take(part("reel"), "counter_at_start", scenario.reel.counter_at_start);
    take(part("reel"), "scale", scenario.reel.scale);
    take_list(from, "overlays", scenario.overlays, [](const Json& set, OverlaySet& fields) {
        for (const Json& field : set) take_field(field, fields.emplace_back());
    });
    take_list(from, "story", scenario.story, take_step);
    take_encoding(part("encoding"), scenario.encoding);
}

}  // namespace

double Encoding::frames_per_s() const {
    std::istringstream text(rate);
    double top = 0.0;
    double bottom = 1.0;
    char slash = 0;
    text >> top;
    if (text >> slash) text >> bottom;
    if (!(top > 0.0) || !(bottom > 0.0)) {
        throw std::invalid_argument("scenario: no frame rate: " + rate);
    }
    return top / bottom;
}

Scenario parse_scenario(const std::string& json) {
    try {
        Scenario scenario;
        take_scenario(Json::parse(json), scenario);
        return scenario;
    } catch (const Json::exception& error) {
        throw std::invalid_argument(std::string("scenario: ") + error.what());
    }
}

Scenario load_scenario(const std::filesystem::path& file) {
    std::ifstream stream(file);
    if (!stream) throw std::invalid_argument("scenario: cannot open " + file.string());
    std::ostringstream text;
    text << stream.rdbuf();
    return parse_scenario(text.str());
}

}  // namespace sondeline::support
