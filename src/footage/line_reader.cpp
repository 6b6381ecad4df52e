#include "footage/line_reader.hpp"

#include <algorithm>
#include <cmath>

#include <opencv2/imgproc.hpp>

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

// Every second row of the crop, beginning with `first`; shares the crop's pixels.
cv::Mat1b field_of(const cv::Mat1b& luma, int first) {
    cv::Mat1b luma_view = luma.rowRange(first, luma.rows);
    return {luma_view.rows / 2, luma_view.cols, luma_view.data, luma_view.step * 2};
}

// Whether two patches show the same glyph: their correlation.
double likeness(const GlyphPatch& a, const GlyphPatch& b) {
    const cv::Mat1f first(1, static_cast<int>(a.size()), const_cast<float*>(a.data()));
    const cv::Mat1f second(1, static_cast<int>(b.size()), const_cast<float*>(b.data()));
    cv::Mat1f result;
    cv::matchTemplate(first, second, result, cv::TM_CCOEFF_NORMED);
    return result(0, 0);
}

// In an interlaced picture the digit may change between the fields; then the first field alone is
// read, else both together.
GlyphPatch patch_of_cell(const cv::Mat1b& luma, const cv::Rect2d& cell, const LocatedLine& line) {
    const Strokes strokes = line.light_on_dark ? Strokes::bright : Strokes::dark;
    if (!line.interlaced || luma.rows < 4) return patch_from(luma, cell, strokes);
    constexpr double kSameGlyph = 0.8;
    const cv::Rect2d first(cell.x, (cell.y + 0.5) / 2.0, cell.width, cell.height / 2.0);
    const cv::Rect2d second(cell.x, (cell.y - 0.5) / 2.0, cell.width, cell.height / 2.0);
    const GlyphPatch of_first = patch_from(field_of(luma, 0), first, strokes);
    const GlyphPatch of_second = patch_from(field_of(luma, 1), second, strokes);
    return likeness(of_first, of_second) < kSameGlyph ? of_first : patch_from(luma, cell, strokes);
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
    std::array<GlyphPatch, most_line_cells> patches;
    std::array<GlyphLogProbs, most_line_cells> seen;
    std::array<GlyphFeatures, most_line_cells> features;
    for (std::size_t i = 0; i < cells; ++i) {
        const cv::Rect2d cell(structure.cell_left_px[i], structure.row_top_px,
                              structure.cell_width_px[i], structure.row_height_px);
        patches[i] = patch_of_cell(crop.luma, cell, structure.line);
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
