// What an invented clip shows: the pipe, the camera, the overlay, the push, the encoding.
// Lengths are metres along the pipe unless a name says otherwise.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace sondeline::support {

// ---- the pipe ---------------------------------------------------------------------------------

// Depth of standing water over the inside diameter; linear between knots, dry outside them.
struct WaterKnot {
    double station_m = 0.0;
    double depth_ratio = 0.0;
};

// A fitting: the pipe turns right by yaw and down by pitch, spread over its length.
struct Bend {
    double station_m = 0.0;
    double length_m = 0.15;
    double yaw_deg = 0.0;
    double pitch_deg = 0.0;
};

enum class Material { plastic, clay, iron, corrugated };
enum class PipeEnd { beyond_view, cap, open };

// Where the wall below a former level of water is darker: edges like a shore, but no surface.
struct StainBand {
    double from_m = 0.0;
    double to_m = 0.0;
    double depth_ratio = 0.2;  // of the level that left it, over the inside diameter
    double darkness = 0.5;     // 0…1
    bool sag = false;          // deepest in the middle, as a pool that was there; else even
};

// Mud or gravel that lies along the invert.
struct Deposit {
    double from_m = 0.0;
    double to_m = 0.0;
    double depth_ratio = 0.08;
};

// What the clean wall looks like, when it is none of the materials. Grey levels.
struct WallSurface {
    double base = 120.0;
    double blotches = 15.0;  // spread
    double grain = 8.0;      // spread
    double joint = 60.0;     // how dark the gap of a joint is
    double ring_m = 0.0;     // from rib to rib; 0: smooth
    double ring_contrast = 0.35;
    double stains = 1.0;  // how many
};

struct PipeScene {
    double diameter_m = 0.1;
    double length_m = 30.0;  // to its end
    PipeEnd end = PipeEnd::beyond_view;
    Material material = Material::plastic;
    std::optional<WallSurface> wall;  // in its stead; the material keeps its tint
    int folds = 0;                    // of a lining, along the pipe
    double joint_spacing_m = 3.0;
    double dirt = 0.5;  // 0…1
    std::vector<WaterKnot> water;
    std::vector<Bend> bends;
    std::vector<double> roots_m;  // where roots hang in
    std::vector<StainBand> stains;
    std::vector<Deposit> deposits;
    double trickle = 0.0;  // depth of a running film over the diameter; it meanders
    double shine = 0.0;    // 0…1: how strongly a wet wall throws the lamps back
    double murk = 1.0;     // how much light the water itself sends back
};

// ---- the camera -------------------------------------------------------------------------------

struct CameraScene {
    double noise_sd = 4.0;          // grey levels
    double line_noise_sd = 0.0;     // on the whole picture, overlay included
    double analogue_blur_px = 0.0;  // horizontal, overlay included
    double ringing = 0.0;           // share of overshoot at vertical edges
    double previous_frame = 0.0;    // share of the frame before, as frame-rate conversion leaves it
    double wander = 1.0;            // of the vanishing point
    double roll_deg = 4.0;
    double roll_start_deg = 0.0;     // clockwise, of the head
    double roll_deg_per_m = 0.0;     // that it turns as it is pushed
    double lens_height = 0.5;        // above the invert, over the diameter; 0.5 on the axis
    double ripple = 1.0;             // of the water
    double wake = 0.0;               // more of it round a head that moves at 0.2 m/s
    double focal = 0.75;             // over half the picture's diagonal
    double light_reach_radii = 5.0;  // to half the light
    // 0: light falls with the distance ahead alone; 1: as from lamps at the lens, by the square of
    // the distance and the slant of the wall.
    double lamp_share = 0.0;
    double beam = 0.0;  // tangent of the angle at which the lamps give half their light; 0: even
    double lamp_side = 0.0;      // 0…1: so much more light on one side than in the middle
    double lamp_side_deg = 0.0;  // where, clockwise from the right of the head
    double fog = 0.0;            // share of light lost a radius
    double vignette = 0.0;       // 0…1 at the corners
    int droplets = 0;            // on the lens
    double glare = 0.0;          // 0…1
    double exposure_swing = 0.15;
    double brightness = 1.0;
    bool upside_down = false;  // the whole picture, overlay included
};

// ---- the overlay ------------------------------------------------------------------------------

enum class CounterScale { feet, metres, feet_and_inches };

struct CounterStyle {
    CounterScale scale = CounterScale::feet;
    int decimals = 1;
    int places = 0;  // at least so many before the point
    char pad = '0';  // fills them: '0' or ' '
    bool plus_sign = false;
    bool comma = false;          // a comma for the point
    bool implied_point = false;  // tenths without a point
    std::string prefix;
    std::string suffix = " ft";
};

// `inclination`: what the camera's level shows, a figure that goes with the place in the pipe.
enum class FieldRole { counter, clock, date, title, elapsed, frame_number, decoy, inclination };

struct InkStyle {
    int red = 255, green = 255, blue = 255;
    double opacity = 1.0;
    int outline_px = 0;  // black, round the strokes
    double box_opacity = 0.0;
    int box_margin_px = 4;
};

struct OverlayField {
    FieldRole role = FieldRole::title;
    // Of a title or date; `%` stands for the drifting number of a decoy, `#` for that of an
    // inclination; behind a clock when it holds an M: then hours run from 1 to 12, with AM or PM.
    std::string text;
    // A font file by name, or a display (display_face.hpp) such as "display bars 4".
    std::string face = "DejaVuSansMono-Bold.ttf";
    int digit_height_px = 24;
    bool fixed_pitch = false;
    bool antialiased = true;
    double slant = 0.0;
    double stretch = 1.0;
    int x = 20;  // of the text's left edge; of its right edge from the right border when negative
    int y = 20;  // of its top; of its bottom from the lower border when negative
    bool flush_right = false;     // within its box
    double refresh_hz = 0.0;      // 0: every frame
    double counter_offset = 0.0;  // added to a counter: a second counter
    CounterStyle counter;
    InkStyle ink;
};

using OverlaySet = std::vector<OverlayField>;

// ---- the push ---------------------------------------------------------------------------------

enum class StoryAction {
    push,      // to `to_m` at `speed`
    pull,      // back to `to_m` at `speed`
    hold,      // for `for_s`
    hesitate,  // for `for_s`, to and fro by up to `by_m`
    zero,      // the counter becomes `value`; takes no time
    overlay,   // overlay set `set` from here on, none when negative; takes no time
    slip,      // the counter runs on by `value` within `for_s`, the head stands still
    drift,     // to `to_m` at `speed`, the counter stands still
    black,     // no picture for `for_s`, overlay too
    blue,      // plain picture for `for_s`, overlay stays
    freeze,    // the last frame, overlay included, for `for_s`
};

struct StoryStep {
    StoryAction action = StoryAction::hold;
    double to_m = 0.0;
    double speed = 0.2;  // m/s
    double surge = 0.5;  // 0 even … 1 by fits and starts
    double for_s = 0.0;
    double by_m = 0.02;
    double value = 0.0;
    int set = 0;
};

struct Reel {
    double counter_at_start = 0.0;  // shown with the lens at station 0, in the counter's unit
    double scale = 1.0;             // true length over counted length
};

// ---- the clip ---------------------------------------------------------------------------------

enum class Codec { h264, h264_baseline, hevc, mpeg2, mpeg4, msmpeg4, mjpeg };

struct Encoding {
    Codec codec = Codec::h264;
    int width = 640;
    int height = 480;
    std::string rate = "30";  // as ffmpeg takes it: "25", "30000/1001"
    int kbit_per_s = 1500;
    int quality = 6;  // of mjpeg; 2 best
    int key_interval = 60;
    bool interlaced = false;
    bool thorough = false;      // more work for the same rate
    std::string creation_time;  // ISO 8601; none when empty

    double frames_per_s() const;
};

struct Scenario {
    std::uint64_t seed = 1;
    double start_m = 0.0;    // of the lens at the first frame
    double clock_s = 36000;  // of the first frame, from midnight
    PipeScene pipe;
    CameraScene camera;
    Reel reel;
    std::vector<OverlaySet> overlays;  // the first is shown at the start
    std::vector<StoryStep> story;
    Encoding encoding;
};

// Reads a scenario; members that are missing keep their defaults. Throws std::invalid_argument for
// text that is no scenario.
Scenario parse_scenario(const std::string& json);
Scenario load_scenario(const std::filesystem::path& file);

}  // namespace sondeline::support
