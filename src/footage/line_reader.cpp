#include "footage/line_reader.hpp"

#include <algorithm>
#include <cmath>

#include "footage/counter_path.hpp"
#include "footage/line_kind.hpp"
#include "footage/path_trust.hpp"
#include "footage/structure_search.hpp"

namespace sondeline {

namespace {

std::uint8_t stored(double log_probability) {
    return static_cast<std::uint8_t>(std::clamp(-log_probability * cost_scale, 0.0, 255.0));
}

std::array<std::uint8_t, cell_class_count> costs_of(const GlyphLogProbs& log_probs) {
    std::array<std::uint8_t, cell_class_count> costs{};
    double known = 0.0;
    for (int c = 0; c <= minus_class; ++c) {
        costs[c] = stored(log_probs[c]);
        known += std::exp(static_cast<double>(log_probs[c]));
    }
    costs[other_class] = stored(std::log(std::max(1.0 - known, 1e-7)));
    return costs;
}

double share_sure(std::span<const LineSample> samples) {
    const auto sure = std::count_if(samples.begin(), samples.end(), [](const LineSample& sample) {
        return sample.unread == Unread::no;
    });
    return samples.empty() ? 0.0 : static_cast<double>(sure) / static_cast<double>(samples.size());
}

std::string example(const LineStructure& structure, std::span<const LineSample> samples) {
    std::int64_t furthest = 0;
    for (const LineSample& sample : samples) {
        if (sample.unread == Unread::no) furthest = std::max(furthest, sample.ticks);
    }
    std::string text =
        written(structure.shape, structure.padding, structure.format.integer_cells, furthest);
    switch (structure.format.unit) {
        case CounterUnit::metre: return text + " m";
        case CounterUnit::foot: return text + " ft";
        case CounterUnit::feet_and_inches:
        case CounterUnit::unknown: break;
    }
    return text;
}

}  // namespace

LineEvidence line_evidence(const LineCrop& crop, const LineStructure& structure,
                           const GlyphNet& net) {
    const std::size_t cells = structure.cell_left_px.size();
    const Strokes strokes = structure.line.light_on_dark ? Strokes::bright : Strokes::dark;
    std::array<GlyphPatch, most_line_cells> patches;
    std::array<GlyphLogProbs, most_line_cells> seen;
    std::array<GlyphFeatures, most_line_cells> features;
    for (std::size_t i = 0; i < cells; ++i) {
        const cv::Rect2d cell(structure.cell_left_px[i], structure.row_top_px,
                              structure.cell_width_px[i], structure.row_height_px);
        patches[i] = patch_from(crop.luma, cell, strokes);
    }
    net.classify_with_features(std::span(patches).first(cells), std::span(seen).first(cells),
                               std::span(features).first(cells));
    LineEvidence evidence;
    evidence.time_s = crop.time_s;
    evidence.picture_motion = crop.picture_motion;
    for (std::size_t i = 0; i < cells; ++i) {
        if (structure.own_layer) seen[i] = classify_features(features[i], *structure.own_layer);
        evidence.cost[i] = costs_of(seen[i]);
    }
    return evidence;
}

LineReading decode_line(const LineStructure& structure, std::span<const LineEvidence> evidence,
                        const LineReaderOptions& options) {
    LineReading reading;
    reading.format = structure.format;
    reading.doubt = structure.doubt;
    const double tick_m = metres_to_the_tick(structure.format);
    const ReelMotion motion = reel_motion(tick_m);
    const CounterPath path = decode_path(structure.shape, evidence, motion);
    reading.score = path.score;
    TrustedPath sure = trusted(path, structure.shape, evidence, motion, options.min_probability);
    reading.samples = std::move(sure.samples);
    reading.format.digits_sure = share_sure(reading.samples);
    reading.format.pattern = example(structure, reading.samples);
    const KindVerdict verdict = kind_of(reading.samples, evidence, reading.format, tick_m);
    reading.kind = verdict.kind;
    reading.counter_probability = verdict.counter_probability;
    return reading;
}

}  // namespace sondeline
