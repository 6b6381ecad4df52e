#include "footage/second_look.hpp"

#include <algorithm>
#include <cstdint>
#include <cstdlib>
#include <map>
#include <vector>

#include "footage/cell_sampler.hpp"
#include "footage/glyph_map.hpp"

namespace sondeline {

namespace {

// Share of the variance of the patch that lies in a plane: a slope of light, or an edge.
double share_of_slope(const GlyphPatch& patch) {
    constexpr double kMiddle_x = 0.5 * (patch_width - 1);
    constexpr double kMiddle_y = 0.5 * (patch_height - 1);
    double sum = 0.0;
    double squares = 0.0;
    double across = 0.0;
    double down = 0.0;
    double squares_x = 0.0;
    double squares_y = 0.0;
    for (int y = 0; y < patch_height; ++y) {
        for (int x = 0; x < patch_width; ++x) {
            const double value = patch[static_cast<std::size_t>(y) * patch_width + x];
            sum += value;
            squares += value * value;
            across += value * (x - kMiddle_x);
            down += value * (y - kMiddle_y);
            squares_x += (x - kMiddle_x) * (x - kMiddle_x);
            squares_y += (y - kMiddle_y) * (y - kMiddle_y);
        }
    }
    const double variance = squares - sum * sum / static_cast<double>(patch.size());
    if (variance <= 0.0) return 0.0;
    return (across * across / squares_x + down * down / squares_y) / variance;
}

bool shows_digit(const LineEvidence& evidence, std::size_t cell) {
    const auto& costs = evidence.cost[cell];
    return std::ranges::min_element(costs) - costs.begin() < minus_class;
}

}  // namespace

bool light_ends_within_digits(const LineStructure& structure, std::span<const LineCrop> crops) {
    constexpr double kEdge = 0.45;             // digits on even ground: 0.3 and less
    constexpr std::size_t kMoreThanAFew = 20;  // one crop in so many
    std::vector<cv::Rect2d> cells;
    for (std::size_t i = 0; i < structure.cell_left_px.size(); ++i) {
        cells.emplace_back(structure.cell_left_px[i], structure.row_top_px,
                           structure.cell_width_px[i], structure.row_height_px);
    }
    CellSampler sampler(cells, strokes_of(structure.line));
    std::vector<GlyphPatch> patches(cells.size());
    std::size_t crossed = 0;
    for (const SeenCrop& seen : structure.seen) {
        sampler.sample(crops[seen.crop].luma, patches);
        for (std::size_t cell = 0; cell < cells.size(); ++cell) {
            if (!shows_digit(seen.evidence, cell) || share_of_slope(patches[cell]) < kEdge)
                continue;
            ++crossed;
            break;
        }
    }
    return crossed * kMoreThanAFew > structure.seen.size();
}

bool read_alike(const LineStructure& a, const LineStructure& b) {
    constexpr int kFewest = 20;
    constexpr int kOften = 40;  // one in so many
    if (a.format.decimals != b.format.decimals ||
        a.shape.feet_and_inches != b.shape.feet_and_inches) {
        return true;
    }
    const auto values = [](const LineStructure& structure) {
        std::vector<LineEvidence> evidence;
        for (const SeenCrop& seen : structure.seen) evidence.push_back(seen.evidence);
        const LineReading reading = decode_line(structure, evidence);
        std::map<std::size_t, std::int64_t> ticks;
        for (std::size_t i = 0; i < reading.samples.size(); ++i) {
            if (reading.samples[i].unread != Unread::no) continue;
            ticks[structure.seen[i].crop] = reading.samples[i].ticks;
        }
        return ticks;
    };
    const std::map<std::size_t, std::int64_t> of_b = values(b);
    int both = 0;
    int different = 0;
    for (const auto& [crop, ticks] : values(a)) {
        const auto other = of_b.find(crop);
        if (other == of_b.end()) continue;
        ++both;
        different += std::llabs(ticks - other->second) > 1 ? 1 : 0;
    }
    return both < kFewest || different * kOften <= both;
}

}  // namespace sondeline
