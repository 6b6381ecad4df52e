#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "footage/cell_grid.hpp"
#include "footage/cell_sampler.hpp"

namespace sondeline {

namespace {

// Looks at the cells of a grid in one crop after another.
class GridLook {
  public:
    GridLook(const NumberGrid& grid, Strokes strokes, const GlyphNet& net)
        : net_(net), sampler_(cells_of(grid), strokes) {
        patches_.resize(sampler_.cells());
        seen_.resize(sampler_.cells());
    }

    // Sum of the digits' logits, by the number of digits that fits the crop best.
    double sureness(const LineCrop& crop) {
        sampler_.sample(crop.luma, patches_);
        net_.classify(patches_, seen_);
        double best = 0.0;
        for (const std::vector<std::size_t>& number : numbers_) {
            double logits = 0.0;
            for (const std::size_t cell : number) logits += digit_logit(seen_[cell]);
            best = std::max(best, logits);
        }
        return best;
    }

  private:
    // Numbers of several lengths share cells.
    std::vector<cv::Rect2d> cells_of(const NumberGrid& grid) {
        constexpr double kSame_px = 1e-6;
        std::vector<cv::Rect2d> cells;
        const int fewest = grid.padding == Padding::zeros ? grid.places : 1;
        for (int digits = fewest; digits <= grid.places; ++digits) {
            numbers_.emplace_back();
            for (int i = 0; i < digits + grid.decimals; ++i) {
                const cv::Rect2d cell(cell_left_px(grid, digits, i), grid.band.top_px,
                                      grid.band.pitch_px, grid.band.height_px);
                const auto known = std::ranges::find_if(cells, [&cell](const cv::Rect2d& other) {
                    return std::abs(other.x - cell.x) < kSame_px;
                });
                numbers_.back().push_back(static_cast<std::size_t>(known - cells.begin()));
                if (known == cells.end()) cells.push_back(cell);
            }
        }
        return cells;
    }

    const GlyphNet& net_;
    std::vector<std::vector<std::size_t>> numbers_;  // cells of a number, by its number of digits
    CellSampler sampler_;
    std::vector<GlyphPatch> patches_;
    std::vector<GlyphLogProbs> seen_;
};

// Mean over the crops. Stops looking, with any value that is not above `least`, as soon as the mean
// cannot come above it.
double sureness(const NumberGrid& grid, std::span<const LineCrop* const> crops, const GlyphNet& net,
                Strokes strokes, double least) {
    const double most_of_crop = most_logit * (grid.places + grid.decimals);
    const auto count = static_cast<double>(std::max<std::size_t>(1, crops.size()));
    GridLook look(grid, strokes, net);
    double sum = 0.0;
    for (std::size_t i = 0; i < crops.size(); ++i) {
        sum += look.sureness(*crops[i]);
        const double most = sum + most_of_crop * static_cast<double>(crops.size() - i - 1);
        if (most < (least - 1e-9) * count) return most / count;
    }
    return sum / count;
}

// Each knob moved by `step` (in pitches or heights); the middle of the line stays where it is.
NumberGrid nudged(NumberGrid grid, int knob, double step) {
    const double cells = grid.places + grid.decimals;
    switch (knob) {
        case 0: grid.first_px += step * grid.band.pitch_px; break;
        case 1: grid.band.top_px += step * grid.band.height_px; break;
        case 2:
            grid.band.top_px -= 0.5 * step * grid.band.height_px;
            grid.band.height_px *= 1.0 + step;
            break;
        case 3:
            grid.first_px -= 0.5 * step * grid.band.pitch_px;
            grid.band.pitch_px *= 1.0 + step / cells;
            break;
        case 4: grid.gap_px = std::max(0.0, grid.gap_px + step * grid.band.pitch_px); break;
        case 5: grid.lead_px += step * grid.band.pitch_px; break;
        default: {
            // First and last digit stay; a number of fewer digits is moved against them.
            const double wider_px = step / cells * grid.band.pitch_px;
            grid.first_px -= 0.5 * wider_px;
            grid.band.pitch_px += wider_px;
            grid.gap_px = std::max(0.0, grid.gap_px - grid.places * wider_px);
            break;
        }
    }
    return grid;
}

}  // namespace

NumberGrid refined(NumberGrid grid, std::span<const LineCrop* const> crops, const GlyphNet& net,
                   Strokes strokes) {
    constexpr int kKnobs = 7;
    double best = sureness(grid, crops, net, strokes, 0.0);
    for (const double step : {0.12, 0.06, 0.03}) {
        int moves = 0;
        // How many moves had been made when each knob was last turned in vain.
        std::array<int, kKnobs> in_vain;
        in_vain.fill(-1);
        for (int round = 0; round < 2; ++round) {
            const double before = best;
            for (int knob = 0; knob < kKnobs; ++knob) {
                const bool of_point = knob == 4 || knob == 6;
                if (of_point && grid.decimals == 0) continue;
                if (knob == 5 && grid.padding != Padding::part) continue;
                if (in_vain[knob] == moves) continue;
                in_vain[knob] = moves;
                for (const double sign : {1.0, -1.0}) {
                    const NumberGrid moved = nudged(grid, knob, sign * step);
                    const double score = sureness(moved, crops, net, strokes, best);
                    if (score <= best) continue;
                    best = score;
                    grid = moved;
                    ++moves;
                    break;
                }
            }
            if (best < before + 0.02) break;
        }
    }
    grid.score = best;
    return grid;
}

}  // namespace sondeline
