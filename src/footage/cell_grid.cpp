#include "footage/cell_grid.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace sondeline {

namespace {

constexpr int kMostPlaces = 5;
constexpr int kMostDecimals = 3;
constexpr float kUnreadableCrop = 0.0F;

// All in steps of the map.
struct GridSteps {
    int first = 0;
    int gap = 0;
    int places = 1;
    int decimals = 0;
    Padding padding = Padding::zeros;
    int lead = 0;  // with Padding::part
};

// How much further right a number starts for each digit fewer.
template <typename Length>
Length lead_of(Padding padding, Length pitch, Length part) {
    switch (padding) {
        case Padding::left: return {};
        case Padding::part: return part;
        case Padding::zeros:
        case Padding::blanks: break;
    }
    return pitch;
}

int place_of(const GridSteps& grid, int digits, int i, int pitch) {
    const int start = (grid.places - digits) * lead_of(grid.padding, pitch, grid.lead);
    return grid.first + start + i * pitch + (i >= digits ? grid.gap : 0);
}

// A map with the logits of a point, which every grid asks for.
class GridMap {
  public:
    explicit GridMap(const GlyphMap& map) : map_(map) {
        points_.reserve(static_cast<std::size_t>(map.crops()) * map.places());
        for (int crop = 0; crop < map.crops(); ++crop) {
            for (int place = 0; place < map.places(); ++place) {
                points_.push_back(class_logit(map.at(crop, place), Glyph::point));
            }
        }
    }

    const GlyphMap& glyphs() const { return map_; }
    int crops() const { return map_.crops(); }
    int places() const { return map_.places(); }
    int steps_per_pitch() const { return map_.steps_per_pitch(); }
    float digit(int crop, int place) const { return map_.digit(crop, place); }
    float point(int crop, int place) const {
        return points_[static_cast<std::size_t>(crop) * map_.places() + place];
    }

  private:
    const GlyphMap& map_;
    std::vector<float> points_;
};

// Sum of logits of a crop that shows `digits` places before the point.
float crop_score(const GridMap& map, int crop, const GridSteps& grid, int digits) {
    const int pitch = map.steps_per_pitch();
    float sum = 0.0F;
    for (int i = 0; i < digits + grid.decimals; ++i) {
        sum += map.digit(crop, place_of(grid, digits, i, pitch));
    }
    // No further digit may stand before the first or behind the last.
    const int before = place_of(grid, digits, 0, pitch) - pitch;
    const int behind = place_of(grid, digits, digits + grid.decimals - 1, pitch) + pitch;
    sum -= std::max(0.0F, map.digit(crop, before)) + std::max(0.0F, map.digit(crop, behind));
    if (grid.decimals > 0) {
        const int point = place_of(grid, digits, digits - 1, pitch) + (pitch + grid.gap) / 2;
        if (point >= 0 && point < map.places()) {
            sum += std::clamp(map.point(crop, point), -3.0F, 3.0F);
        }
    }
    return sum;
}

struct GridScore {
    double mean = 0.0;
    int fewest_digits = 0;
    int most_digits = 0;
};

struct CropScore {
    float sum = kUnreadableCrop;
    int digits = 0;  // before the point; 0 when the crop shows no number there
};

CropScore best_score(const GridMap& map, int crop, const GridSteps& grid) {
    CropScore best;
    const int fewest = grid.padding == Padding::zeros ? grid.places : 1;
    for (int digits = fewest; digits <= grid.places; ++digits) {
        const float sum = crop_score(map, crop, grid, digits);
        if (sum > best.sum) best = {sum, digits};
    }
    return best;
}

GridScore score_of(const GridMap& map, const GridSteps& grid) {
    GridScore score{0.0, grid.places, 0};
    for (int crop = 0; crop < map.crops(); ++crop) {
        const CropScore best = best_score(map, crop, grid);
        score.mean += best.sum;
        if (best.digits == 0) continue;
        score.fewest_digits = std::min(score.fewest_digits, best.digits);
        score.most_digits = std::max(score.most_digits, best.digits);
    }
    score.mean /= std::max(1, map.crops());
    return score;
}

// Mean over the crops, each where its number has the point.
double point_logit(const GridMap& map, const GridSteps& grid) {
    if (grid.decimals == 0) return 0.0;
    const int pitch = map.steps_per_pitch();
    double sum = 0.0;
    for (int crop = 0; crop < map.crops(); ++crop) {
        const int shown = best_score(map, crop, grid).digits;
        const int digits = shown > 0 ? shown : grid.places;
        const int point = place_of(grid, digits, digits - 1, pitch) + (pitch + grid.gap) / 2;
        if (point < 0 || point >= map.places()) continue;
        sum += map.point(crop, point);
    }
    return sum / std::max(1, map.crops());
}

std::vector<int> starts_worth_trying(const GridMap& map) {
    std::vector<int> starts;
    for (int place = 0; place < map.places(); ++place) {
        int digits = 0;
        for (int crop = 0; crop < map.crops(); ++crop) digits += map.digit(crop, place) > 1.0F;
        if (digits * 24 >= map.crops()) starts.push_back(place);
    }
    return starts;
}

NumberGrid in_pixels(const GridMap& map, const GridSteps& grid, double score) {
    const double step_px = map.glyphs().band().pitch_px / map.steps_per_pitch();
    NumberGrid found;
    found.band = map.glyphs().band();
    found.first_px = map.glyphs().left_px(grid.first);
    found.gap_px = grid.gap * step_px;
    found.lead_px = grid.lead * step_px;
    found.places = grid.places;
    found.decimals = grid.decimals;
    found.padding = grid.padding;
    found.score = score;
    found.point_logit = point_logit(map, grid);
    return found;
}

struct RatedGrid {
    GridSteps steps;
    double score = 0.0;
};

void try_grids_from(const GridMap& map, int first, std::vector<RatedGrid>& tried) {
    constexpr double kPriceOfBlanks = 0.5;
    for (int places = 1; places <= kMostPlaces; ++places) {
        for (int decimals = 0; decimals <= kMostDecimals; ++decimals) {
            for (int gap = 0; gap <= map.steps_per_pitch() + 1; ++gap) {
                if (decimals == 0 && gap > 0) break;
                for (const Padding padding : {Padding::zeros, Padding::blanks, Padding::left}) {
                    if (padding != Padding::zeros && places == 1) break;
                    const GridSteps steps{first, gap, places, decimals, padding};
                    const GridScore score = score_of(map, steps);
                    if (padding != Padding::zeros &&
                        (score.fewest_digits == places || score.most_digits < places)) {
                        continue;
                    }
                    const double price = padding == Padding::zeros ? 0.0 : kPriceOfBlanks;
                    tried.push_back({steps, score.mean - price});
                }
            }
        }
    }
}

// Numbers of one length found in fixed cells may be some of those of a number that moves by part of
// a cell as it grows: as the longest of them, or as those one digit shorter.
void try_parts(const GridMap& map, std::vector<RatedGrid>& tried) {
    constexpr std::size_t kMostTried = 12;
    constexpr double kPriceOfParts = 0.75;
    std::vector<GridSteps> fixed;
    for (const RatedGrid& rated : tried) {
        if (fixed.size() == kMostTried || rated.score <= 0.0) break;
        if (rated.steps.padding == Padding::zeros) fixed.push_back(rated.steps);
    }
    const int pitch = map.steps_per_pitch();
    for (const GridSteps& found : fixed) {
        for (int longer = 0; longer <= 1; ++longer) {
            for (int lead = 2; lead <= pitch - 2; ++lead) {
                GridSteps steps = found;
                steps.padding = Padding::part;
                steps.places += longer;
                steps.first -= longer * lead;
                steps.lead = lead;
                if (steps.places < 2 || steps.first < 0) continue;
                const GridScore score = score_of(map, steps);
                if (score.fewest_digits == steps.places || score.most_digits < steps.places) {
                    continue;
                }
                tried.push_back({steps, score.mean - kPriceOfParts});
            }
        }
    }
}

}  // namespace

double cell_left_px(const NumberGrid& grid, int digits, int i) {
    const double lead_px = lead_of(grid.padding, grid.band.pitch_px, grid.lead_px);
    return grid.first_px + (grid.places - digits) * lead_px + i * grid.band.pitch_px +
           (i >= digits ? grid.gap_px : 0.0);
}

bool same_values(const NumberGrid& a, const NumberGrid& b) {
    const double far = 0.4 * a.band.pitch_px;
    const double last_a = cell_left_px(a, a.places, a.places + a.decimals - 1);
    const double last_b = cell_left_px(b, b.places, b.places + b.decimals - 1);
    return a.places == b.places && a.decimals == b.decimals && a.padding == b.padding &&
           a.minus_pushes == b.minus_pushes && a.bare_end == b.bare_end &&
           std::abs(a.first_px - b.first_px) < far && std::abs(last_a - last_b) < far;
}

std::vector<NumberGrid> grids_in(const GlyphMap& glyphs, int most) {
    const GridMap map(glyphs);
    std::vector<RatedGrid> tried;
    for (const int first : starts_worth_trying(map)) try_grids_from(map, first, tried);
    const auto best_first = [&tried] {
        std::stable_sort(tried.begin(), tried.end(),
                         [](const RatedGrid& a, const RatedGrid& b) { return a.score > b.score; });
    };
    best_first();
    try_parts(map, tried);
    best_first();
    std::vector<NumberGrid> found;
    int parts = 0;  // never in the place of a plainer grid
    for (const RatedGrid& candidate : tried) {
        if (static_cast<int>(found.size()) - parts == most || candidate.score <= 0.0) break;
        const bool part = candidate.steps.padding == Padding::part;
        if (part && parts > 0) continue;
        const NumberGrid grid = in_pixels(map, candidate.steps, candidate.score);
        const bool known = std::any_of(found.begin(), found.end(), [&](const NumberGrid& other) {
            return same_values(grid, other);
        });
        if (known) continue;
        found.push_back(grid);
        parts += part ? 1 : 0;
    }
    return found;
}

}  // namespace sondeline
