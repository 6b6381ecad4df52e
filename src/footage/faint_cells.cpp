#include "footage/faint_cells.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>

namespace sondeline {

namespace {

using ClassCosts = std::array<std::uint8_t, cell_class_count>;

constexpr double kFaint = 0.4;  // of what is usual in the cell
constexpr std::size_t kFewestDigits = 20;

bool shows_digit(const ClassCosts& costs) {
    return std::ranges::min_element(costs) - costs.begin() < minus_class;
}

// Median over the samples in which the cell shows a digit; 0 when there are too few.
double usual_edges(std::span<const LineEvidence> evidence, int cell) {
    std::vector<std::uint8_t> edges;
    for (const LineEvidence& seen : evidence) {
        if (shows_digit(seen.cost[cell])) edges.push_back(seen.edges[cell]);
    }
    if (edges.size() < kFewestDigits) return 0.0;
    const auto middle = edges.begin() + static_cast<std::ptrdiff_t>(edges.size() / 2);
    std::nth_element(edges.begin(), middle, edges.end());
    return *middle;
}

void raise_to(double power, ClassCosts& costs) {
    double sum = 0.0;
    for (const std::uint8_t cost : costs) sum += std::exp(-power * cost / cost_scale);
    const double of_sum = cost_scale * std::log(sum);
    for (std::uint8_t& cost : costs) {
        cost = static_cast<std::uint8_t>(std::clamp(power * cost + of_sum, 0.0, 255.0));
    }
}

}  // namespace

std::vector<LineEvidence> with_faint_cells_weakened(const CounterShape& shape,
                                                    std::span<const LineEvidence> evidence) {
    std::vector<LineEvidence> weakened(evidence.begin(), evidence.end());
    for (int cell = 0; cell < shape.cells; ++cell) {
        const double faint = kFaint * usual_edges(evidence, cell);
        for (LineEvidence& seen : weakened) {
            if (seen.edges[cell] >= faint || !shows_digit(seen.cost[cell])) continue;
            const double share = seen.edges[cell] / faint;
            raise_to(share * share, seen.cost[cell]);
        }
    }
    return weakened;
}

}  // namespace sondeline
