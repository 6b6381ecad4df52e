#include "footage/line_reader.hpp"

#include <algorithm>
#include <cmath>

#include "footage/counter_path.hpp"
#include "footage/line_cells.hpp"
#include "footage/line_kind.hpp"
#include "footage/path_trust.hpp"
#include "footage/structure_search.hpp"

namespace sondeline {

namespace {

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
    LineEvidence evidence;
    evidence.time_s = crop.time_s;
    evidence.picture_motion = crop.picture_motion;
    evidence.cost = costs_of(look_at_cells(crop, structure, net), structure.own_glyphs.get());
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
