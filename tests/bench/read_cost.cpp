#include "bench/read_cost.hpp"

#include <algorithm>

#include "bench/clip_score.hpp"
#include "support/footage.hpp"

namespace sondeline::bench {

namespace {

using namespace support;

struct CostSpec {
    const char* words;
    const char* extension;
    double bar;
    Codec codec;
    int width;
    int kbit_per_s;
};

// Bars: what reading must not exceed, in multiples of decoding every frame.
constexpr CostSpec kSpecs[] = {
    {"H.264 with B-frames 640x480, 1500 kbit/s", "mp4", 1.0, Codec::h264, 640, 1500},
    {"MPEG-2 with B-frames 720x480, 4000 kbit/s", "mpg", 0.85, Codec::mpeg2, 720, 4000},
    {"MPEG-4 part 2 640x480, 1500 kbit/s", "avi", 1.25, Codec::mpeg4, 640, 1500},
    {"MJPEG 640x480, q 6", "avi", 1.25, Codec::mjpeg, 640, 0},
};

StoryStep step(StoryAction action, double to_m, double for_s) {
    StoryStep made;
    made.action = action;
    made.to_m = to_m;
    made.for_s = for_s;
    return made;
}

// Pushes of a metre with holds of two seconds between them.
std::vector<StoryStep> pushes(double seconds) {
    std::vector<StoryStep> steps;
    double at_m = 0.0;
    for (double at_s = 0.0; at_s < seconds; at_s += 7.0) {
        steps.push_back(step(StoryAction::hold, 0.0, 2.0));
        steps.push_back(step(StoryAction::push, at_m += 1.0, 0.0));
    }
    return steps;
}

Scenario scenario_of(const CostSpec& spec, double seconds) {
    Scenario scenario;
    scenario.seed = 77;
    scenario.pipe.length_m = 200.0;
    scenario.story = pushes(seconds);
    scenario.encoding.codec = spec.codec;
    scenario.encoding.width = spec.width;
    scenario.encoding.kbit_per_s = spec.kbit_per_s;
    support::OverlayField counter;
    counter.role = FieldRole::counter;
    counter.counter.places = 4;
    counter.x = 24;
    counter.y = -24;
    counter.ink.outline_px = 2;
    support::OverlayField time = counter;
    time.role = FieldRole::clock;
    time.x = -24;
    time.y = 24;
    scenario.overlays = {{counter, time}};
    return scenario;
}

double median(std::vector<double> values) {
    std::sort(values.begin(), values.end());
    return values.empty() ? 0.0 : values[values.size() / 2];
}

}  // namespace

std::vector<CodecCost> codec_costs(double seconds, int repeats, const std::filesystem::path& folder,
                                   const std::filesystem::path& reader) {
    std::vector<CodecCost> costs;
    std::filesystem::create_directories(folder);
    for (const CostSpec& spec : kSpecs) {
        const auto clip =
            folder / (std::string("cost_") + std::to_string(costs.size()) + "." + spec.extension);
        if (!std::filesystem::exists(clip)) make_footage(scenario_of(spec, seconds), clip);
        std::vector<double> reading;
        std::vector<double> with_water;
        std::vector<double> decoding;
        for (int i = 0; i < repeats; ++i) {
            reading.push_back(process_cpu_s({reader.string(), "--counter-alone", clip.string()}));
            with_water.push_back(process_cpu_s({reader.string(), clip.string()}));
            decoding.push_back(ffmpeg_decode_cpu_s(clip));
        }
        costs.push_back(
            {spec.words, spec.bar, median(reading), median(with_water), median(decoding)});
    }
    return costs;
}

}  // namespace sondeline::bench
