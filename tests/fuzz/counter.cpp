// The counter's decoder: any evidence of any cells, at any times, gives a reading for each sample,
// each a value that the counter can show, with a probability.
#include <cmath>

#include <fuzzer/FuzzedDataProvider.h>

#include "footage/line_reader.hpp"
#include "fuzz/require.hpp"

namespace {

using namespace sondeline;

CounterShape shape_from(FuzzedDataProvider& in) {
    const auto padding =
        static_cast<Padding>(in.ConsumeIntegralInRange<int>(0, static_cast<int>(Padding::left)));
    const int places = in.ConsumeIntegralInRange<int>(1, 4);
    const int decimals = in.ConsumeIntegralInRange<int>(0, 2);
    switch (in.ConsumeIntegralInRange<int>(0, 3)) {
        case 0: return left_cells(places, decimals, in.ConsumeBool(), in.ConsumeBool());
        case 1:
            return inch_cells(
                places, padding,
                in.PickValueInArray({InchPlaces::second, InchPlaces::first, InchPlaces::aside}));
        default: break;
    }
    const auto sign = static_cast<SignPlace>(in.ConsumeIntegralInRange<int>(0, 2));
    return fixed_cells(places, decimals, padding == Padding::left ? Padding::blanks : padding,
                       sign);
}

LineStructure structure_from(FuzzedDataProvider& in) {
    LineStructure structure;
    structure.shape = shape_from(in);
    structure.format.integer_cells = in.ConsumeIntegralInRange<int>(1, 4);
    structure.format.decimals = structure.shape.decimals;
    structure.format.unit = structure.shape.feet_and_inches
                                ? CounterUnit::feet_and_inches
                                : static_cast<CounterUnit>(in.ConsumeIntegralInRange<int>(0, 2));
    structure.padding = static_cast<Padding>(in.ConsumeIntegralInRange<int>(0, 2));
    return structure;
}

// Times as FrameSource gives them: they never fall. Gaps run from none to 18 hours.
LineEvidence evidence_from(FuzzedDataProvider& in, int cells, double& time_s) {
    LineEvidence evidence;
    const int gap = in.ConsumeIntegral<std::uint8_t>();
    time_s += gap < 250 ? gap / 100.0 : 65536.0 / (1 + (gap - 250) * 1000);
    evidence.time_s = time_s;
    evidence.picture_motion = static_cast<float>(in.ConsumeIntegral<std::int8_t>()) / 8.0F;
    const bool plain = in.ConsumeBool();
    for (int cell = 0; cell < cells; ++cell) {
        auto& costs = evidence.cost[static_cast<std::size_t>(cell)];
        if (plain) {
            costs.fill(in.ConsumeIntegral<std::uint8_t>());
            costs[in.ConsumeIntegralInRange<std::size_t>(0, costs.size() - 1)] = 0;
        } else {
            for (auto& cost : costs) cost = in.ConsumeIntegral<std::uint8_t>();
        }
    }
    return evidence;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    FuzzedDataProvider in(data, size);
    const LineStructure structure = structure_from(in);
    if (structure.shape.cells > most_line_cells) return 0;
    std::vector<LineEvidence> evidence;
    double time_s = 0.0;
    while (in.remaining_bytes() > 0 && evidence.size() < 600) {
        evidence.push_back(evidence_from(in, structure.shape.cells, time_s));
    }
    const LineReading reading = decode_line(structure, evidence);
    require(std::isfinite(reading.score));
    require(reading.counter_probability >= 0.0 && reading.counter_probability <= 1.0);
    require(reading.samples.size() == evidence.size());
    for (const LineSample& sample : reading.samples) {
        require(sample.probability >= 0.0F && sample.probability <= 1.0F);
        if (sample.unread == Unread::no) {
            require(layout_of(structure.shape, sample.ticks) != nullptr);
        }
    }
    return 0;
}
