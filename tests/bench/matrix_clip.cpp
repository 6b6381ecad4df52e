#include "bench/matrix_clip.hpp"

#include <algorithm>
#include <array>
#include <set>
#include <stdexcept>

#include <fmt/format.h>

#include "support/footage.hpp"
#include "support/training/chance.hpp"
#include "support/training/faces.hpp"

namespace sondeline::bench {

namespace {

using namespace support;
using support::OverlayField;

struct Look {
    const char* name;
    InkStyle ink;
    bool ordinary;
};

Look look(cv::RNG& chance) {
    const auto ink = [](int r, int g, int b, double opacity, int outline, double box) {
        return InkStyle{r, g, b, opacity, outline, box, 4};
    };
    const std::array looks{
        Look{"outline", ink(255, 255, 255, 1.0, 2, 0.0), true},
        Look{"thin outline", ink(240, 240, 240, 1.0, 1, 0.0), true},
        Look{"black box", ink(255, 255, 255, 1.0, 0, 1.0), true},
        Look{"half box", ink(235, 235, 235, 1.0, 0, 0.55), true},
        Look{"yellow outline", ink(250, 230, 40, 1.0, 2, 0.0), true},
        Look{"green on box", ink(60, 240, 80, 1.0, 0, 0.9), true},
        Look{"plain white", ink(255, 255, 255, 1.0, 0, 0.0), false},
        Look{"faint outline", ink(225, 225, 225, 0.75, 1, 0.0), false},
    };
    return looks[static_cast<std::size_t>(chance.uniform(0, static_cast<int>(looks.size())))];
}

CounterStyle format(cv::RNG& chance, std::uint64_t number) {
    const auto feet = [](int decimals, int places, char pad, const char* before,
                         const char* after) {
        CounterStyle style;
        style.decimals = decimals;
        style.places = places;
        style.pad = pad;
        style.prefix = before;
        style.suffix = after;
        return style;
    };
    CounterStyle style;
    switch (number % 14) {
        case 0: style = feet(1, 0, '0', "", ""); break;
        case 1: style = feet(1, 4, '0', "", " ft"); break;
        case 2: style = feet(1, 0, '0', "", "'"); break;
        case 3:
            style = feet(0, 0, '0', "", "");
            style.scale = CounterScale::feet_and_inches;
            break;
        case 4:
            style = feet(2, 0, '0', "", " m");
            style.scale = CounterScale::metres;
            break;
        case 5:
            style = feet(2, 3, '0', "M ", "");
            style.scale = CounterScale::metres;
            break;
        case 6: style = feet(1, 3, '0', "", "FT"); break;
        case 7:
            style = feet(1, 0, '0', "", " ft");
            style.plus_sign = true;
            break;
        case 8:
            style = feet(1, 0, '0', "", " m");
            style.scale = CounterScale::metres;
            style.comma = true;
            break;
        case 9: style = feet(1, 5, ' ', "", " ft"); break;
        case 10: style = feet(1, 4, '0', "DIST ", ""); break;
        case 11:
            style = feet(1, 0, '0', "", "m");
            style.scale = CounterScale::metres;
            break;
        case 12:
            style = feet(3, 0, '0', "", " m");
            style.scale = CounterScale::metres;
            break;
        default: style = feet(1, 3, '0', "Ft: ", ""); break;
    }
    (void)chance;
    return style;
}

bool says_unit(const CounterStyle& style) {
    const std::string words = style.prefix + style.suffix;
    return style.scale == CounterScale::feet_and_inches ||
           words.find_first_of("fFmM'") != std::string::npos;
}

CounterUnit unit_of(const CounterStyle& style) {
    if (!says_unit(style)) return CounterUnit::unknown;
    if (style.scale == CounterScale::feet) return CounterUnit::foot;
    return style.scale == CounterScale::metres ? CounterUnit::metre : CounterUnit::feet_and_inches;
}

std::vector<StoryStep> story(cv::RNG& chance, double start_m) {
    const auto step = [](StoryAction action, double to_m, double for_s) {
        StoryStep made;
        made.action = action;
        made.to_m = to_m;
        made.for_s = for_s;
        return made;
    };
    std::vector<StoryStep> steps;
    double at_m = start_m;
    const auto push = [&](double by_m) {
        StoryStep made = step(StoryAction::push, at_m += by_m, 0.0);
        made.speed = between(chance, 0.12, 0.4);
        made.surge = between(chance, 0.1, 0.9);
        steps.push_back(made);
    };
    const auto pull = [&](double by_m) {
        StoryStep made = step(StoryAction::pull, at_m -= by_m, 0.0);
        made.speed = between(chance, 0.2, 0.6);
        steps.push_back(made);
    };
    const auto hold = [&] {
        steps.push_back(step(StoryAction::hold, 0.0, between(chance, 0.8, 3.0)));
    };
    hold();
    push(between(chance, 0.5, 1.5));
    hold();
    if (happens(chance, 0.2)) steps.push_back(step(StoryAction::zero, 0.0, 0.0));
    if (happens(chance, 0.3)) hold();
    push(between(chance, 0.8, 2.0));
    if (happens(chance, 0.4)) steps.push_back(step(StoryAction::hesitate, 0.0, 2.5));
    if (happens(chance, 0.3)) pull(between(chance, 0.1, 0.5));
    hold();
    push(between(chance, 0.5, 1.5));
    if (happens(chance, 0.2)) {
        steps.push_back(step(happens(chance, 0.5) ? StoryAction::black : StoryAction::freeze, 0.0,
                             between(chance, 0.5, 1.5)));
    }
    hold();
    if (happens(chance, 0.4)) pull(between(chance, 0.6, 1.5));
    return steps;
}

struct Spec {
    Codec codec;
    const char* extension;
    const char* name;
};

Encoding encoding(cv::RNG& chance, bool hard, std::string& extension, std::string& words) {
    constexpr std::array specs{
        Spec{Codec::h264, "mp4", "H.264"},   Spec{Codec::h264, "mkv", "H.264"},
        Spec{Codec::h264, "ts", "H.264"},    Spec{Codec::h264_baseline, "mov", "H.264 baseline"},
        Spec{Codec::hevc, "mkv", "H.265"},   Spec{Codec::mpeg2, "mpg", "MPEG-2"},
        Spec{Codec::mpeg2, "vob", "MPEG-2"}, Spec{Codec::mpeg4, "avi", "MPEG-4"},
        Spec{Codec::mjpeg, "avi", "MJPEG"},  Spec{Codec::msmpeg4, "wmv", "MS MPEG-4"},
    };
    const std::array sizes{cv::Size(640, 480), cv::Size(720, 480), cv::Size(720, 576),
                           cv::Size(1280, 720)};
    const Spec& spec = specs[static_cast<std::size_t>(chance.uniform(0, specs.size()))];
    // Three sizes of old recorders, and now and then a high one.
    const bool high = happens(chance, 0.12);
    const cv::Size size = high ? sizes[3] : sizes[static_cast<std::size_t>(chance.uniform(0, 3))];
    Encoding made;
    made.codec = spec.codec;
    made.width = size.width;
    made.height = size.height;
    made.rate = happens(chance, 0.5) ? "25" : "30000/1001";
    const bool intra_free = spec.codec == Codec::mpeg2 || spec.codec == Codec::msmpeg4;
    const double pixels = static_cast<double>(size.area()) / (640.0 * 480.0);
    made.kbit_per_s =
        static_cast<int>(pixels * (intra_free ? 2.5 : 1.0) * between(chance, 1000, 2500));
    if (hard && happens(chance, 0.5))
        made.kbit_per_s = static_cast<int>(800 * pixels * (intra_free ? 2.5 : 1.0));
    made.quality = whole_between(chance, 4, hard ? 14 : 8);
    made.interlaced =
        hard && (spec.codec == Codec::mpeg2 || spec.codec == Codec::h264) && happens(chance, 0.5);
    extension = spec.extension;
    words =
        fmt::format("{} {}x{}{} {}", spec.name, size.width, size.height, made.interlaced ? "i" : "",
                    made.codec == Codec::mjpeg ? fmt::format("q{}", made.quality)
                                               : fmt::format("{}k", made.kbit_per_s));
    return made;
}

// Faces kept from training, those of this half.
std::vector<FaceFile> unseen_faces(Half half) {
    static const std::set<std::string> tuning_families{"OCR-A", "Glass TTY VT220", "Inconsolata"};
    std::vector<FaceFile> faces = held_out_faces();
    std::erase_if(faces, [&](const FaceFile& face) {
        return tuning_families.contains(face.family) == (half == Half::judged);
    });
    return faces;
}

// What a counter is drawn in.
struct Drawn {
    std::string family;
    std::string face;  // as OverlayField::face
    bool segments = false;
    bool heavy = false;
};

// Displays drawn by program, and heavy cuts that the network was not trained on: looks that
// settings are chosen on besides those of the tuning half's families.
Drawn further_look(cv::RNG& chance, std::uint64_t number) {
    constexpr std::array heavy{
        "B612-Bold.otf",        "FreeSansBold.ttf",        "LiberationSans-Bold.ttf",
        "Lato-Black.ttf",       "OpenSans-ExtraBold.ttf",  "NanumGothicBold.ttf",
        "DejaVuSerif-Bold.ttf", "JetBrainsMono-Bold.ttf",  "Monoid-Bold.ttf",
        "OCRABold.ttf",         "NanumBarunGothicBold.ttf"};
    switch (number % 4) {
        case 0:
        case 1: return {"Display bars", fmt::format("display bars {}", number), true, false};
        case 2: return {"Display dots", fmt::format("display dots {}", number), false, false};
        default: break;
    }
    const std::string file = heavy[static_cast<std::size_t>(chance.uniform(0, heavy.size()))];
    return {file.substr(0, file.find('.')), file, false, true};
}

Drawn drawn_in(const FaceFile& face) {
    return {face.family, face.file.filename().string(), face.family == "DSEG 7-segment", false};
}

FaceFile face(cv::RNG& chance, Half half, bool held_out) {
    std::vector<FaceFile> faces = held_out ? unseen_faces(half) : training_faces();
    // A family first, so that one with many cuts does not weigh more.
    std::set<std::string> families;
    for (const FaceFile& one : faces) families.insert(one.family);
    const std::string family =
        *std::next(families.begin(), chance.uniform(0, static_cast<int>(families.size())));
    std::erase_if(faces, [&](const FaceFile& one) { return one.family != family; });
    return faces[static_cast<std::size_t>(chance.uniform(0, static_cast<int>(faces.size())))];
}

void place(cv::RNG& chance, OverlayField& field, int corner) {
    field.x = whole_between(chance, 16, 60) * (corner % 2 == 0 ? 1 : -1);
    field.y = whole_between(chance, 14, 40) * (corner / 2 == 0 ? 1 : -1);
}

OverlayField companion(cv::RNG& chance, const OverlayField& counter) {
    OverlayField field = counter;
    field.counter_offset = 0.0;
    field.refresh_hz = 0.0;
    constexpr std::array roles{FieldRole::clock, FieldRole::clock,   FieldRole::date,
                               FieldRole::title, FieldRole::elapsed, FieldRole::frame_number,
                               FieldRole::decoy};
    field.role = roles[static_cast<std::size_t>(chance.uniform(0, roles.size()))];
    constexpr std::array titles{"LATERAL 2", "RUN 14", "12 ELM ROW", "JOB 2047-3", "CAM 1"};
    constexpr std::array decoys{"BAT %", "T % C", "LUX %"};
    if (field.role == FieldRole::title) {
        field.text = titles[static_cast<std::size_t>(chance.uniform(0, titles.size()))];
    }
    if (field.role == FieldRole::date) field.text = "14/05/2026";
    if (field.role == FieldRole::decoy) {
        field.text = decoys[static_cast<std::size_t>(chance.uniform(0, decoys.size()))];
    }
    return field;
}

void draw_overlay(cv::RNG& chance, const OverlayField& counter, bool with_counter,
                  Scenario& scenario) {
    std::array<int, 4> corners{0, 1, 2, 3};
    for (int i = 3; i > 0; --i) {
        std::swap(corners[static_cast<std::size_t>(i)],
                  corners[static_cast<std::size_t>(chance.uniform(0, i + 1))]);
    }
    OverlaySet set;
    if (with_counter) {
        set.push_back(counter);
        place(chance, set.back(), corners[0]);
    }
    const int others = chance.uniform(0, 4);
    for (int i = 0; i < others; ++i) {
        set.push_back(companion(chance, counter));
        place(chance, set.back(), corners[static_cast<std::size_t>(i + 1)]);
    }
    scenario.overlays = {set};
}

void draw_pipe(cv::RNG& chance, bool hard, Scenario& scenario) {
    scenario.pipe.material = static_cast<Material>(chance.uniform(0, 4));
    scenario.pipe.dirt = between(chance, 0.2, 0.9);
    scenario.pipe.length_m = 60.0;
    if (happens(chance, 0.3)) {
        scenario.pipe.water = {{2.0, 0.0}, {4.0, between(chance, 0.05, 0.3)}, {7.0, 0.0}};
    }
    CameraScene& camera = scenario.camera;
    camera.noise_sd = between(chance, 1.0, 6.0);
    camera.brightness = hard ? between(chance, 0.8, 1.6) : between(chance, 0.7, 1.2);
    camera.analogue_blur_px = happens(chance, 0.4) ? between(chance, 0.3, hard ? 1.2 : 0.8) : 0.0;
    camera.ringing = happens(chance, 0.3) ? between(chance, 0.1, 0.4) : 0.0;
    camera.line_noise_sd = happens(chance, 0.3) ? between(chance, 1.0, 4.0) : 0.0;
    camera.previous_frame = hard && happens(chance, 0.3) ? between(chance, 0.1, 0.4) : 0.0;
}

// The overlay fits and its fields do not overlap.
bool fits(const Scenario& scenario) {
    try {
        return !overlay_boxes(scenario).empty();
    } catch (const std::invalid_argument&) {
        return false;
    }
}

}  // namespace

std::vector<std::string> unseen_families(Half half) {
    std::set<std::string> families;
    for (const FaceFile& one : unseen_faces(half)) families.insert(one.family);
    return {families.begin(), families.end()};
}

MatrixClip matrix_clip(Half half, std::uint64_t number) {
    cv::RNG chance(0x9e3779b97f4a7c15ULL * (2 * number + (half == Half::judged ? 2 : 1)));
    chance.next();
    MatrixClip clip;
    const bool further = half == Half::tuning && number >= first_further_look;
    clip.hard = further ? number % 4 < 2 : number % 2 == 1;
    clip.held_out = further || (half == Half::judged ? number % 3 != 2 : number % 3 == 0);
    clip.has_counter = further || number % 20 != 19;
    clip.scenario.seed = 1000 * number + (half == Half::judged ? 7 : 3);
    while (true) {
        const Drawn chosen =
            further ? further_look(chance, number) : drawn_in(face(chance, half, clip.held_out));
        Look style = look(chance);
        while (!clip.hard && !style.ordinary) style = look(chance);
        std::string codec_words;
        Scenario& scenario = clip.scenario;
        scenario.encoding = encoding(chance, clip.hard, clip.extension, codec_words);
        if (chosen.heavy && scenario.encoding.height < 720) continue;
        OverlayField counter;
        counter.role = FieldRole::counter;
        counter.face = chosen.face;
        if (chosen.segments && !clip.hard) continue;
        const double scale = scenario.encoding.height / 480.0;
        counter.digit_height_px = static_cast<int>(
            scale * (clip.hard ? whole_between(chance, 12, 24) : whole_between(chance, 18, 40)));
        counter.antialiased = happens(chance, 0.7);
        counter.slant = happens(chance, 0.15) ? between(chance, 0.05, 0.2) : 0.0;
        counter.stretch = happens(chance, 0.3) ? between(chance, 0.8, 1.25) : 1.0;
        counter.refresh_hz = happens(chance, 0.3) ? between(chance, 5.0, 12.0) : 0.0;
        counter.flush_right = happens(chance, 0.2);
        counter.counter = format(chance, number / 2 + (clip.hard ? 7 : 0));
        if (chosen.segments) {
            // Displays of this kind have digits only.
            counter.counter.prefix.clear();
            counter.counter.suffix.clear();
            if (counter.counter.scale == CounterScale::feet_and_inches) {
                counter.counter.scale = CounterScale::feet;
                counter.counter.decimals = 1;
            }
        }
        counter.ink = style.ink;
        scenario.start_m = between(chance, 0.0, 3.0);
        scenario.reel.counter_at_start =
            happens(chance, 0.3) ? std::round(between(chance, -3.0, 60.0)) : 0.0;
        scenario.reel.scale = between(chance, 0.98, 1.02);
        scenario.story = story(chance, scenario.start_m);
        draw_pipe(chance, clip.hard, scenario);
        draw_overlay(chance, counter, clip.has_counter, scenario);
        if (scenario.overlays.front().empty() || !fits(scenario)) continue;
        clip.family = chosen.family;
        clip.unit = clip.has_counter ? unit_of(counter.counter) : CounterUnit::unknown;
        clip.words = fmt::format("{} {} px, {}, {}", chosen.family, counter.digit_height_px,
                                 style.name, codec_words);
        return clip;
    }
}

}  // namespace sondeline::bench
