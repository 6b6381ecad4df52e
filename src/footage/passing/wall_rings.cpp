#include "footage/passing/wall_rings.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <span>

#include "footage/water/wall_flow.hpp"
#include "terms/quantile.hpp"

namespace sondeline {
namespace {

constexpr std::size_t kSectors = flow_sectors;
constexpr int kRows = unrolled_directions / static_cast<int>(kSectors);
constexpr std::size_t kFewestSectors = 14;
constexpr double kAllBut = 0.65;  // of the sectors are at least as dark: the others may be under
                                  // water, behind dirt or in the shade
constexpr int kSteps = 48;        // of depth
constexpr std::size_t kMost = 4;  // rings in one picture
constexpr double kOutstanding = 3.0;
constexpr double kLeastDark = 0.012;
constexpr double kSameRing = 0.8;      // of its darkest step
constexpr std::ptrdiff_t kBeside = 2;  // steps that belong to a ring as well

// Not seen: lighter than anything, and than what lies between it and anything.
constexpr float kNone = std::numeric_limits<float>::infinity();

// Detail by sector and column, seen in half of its directions at least; else kNone, as beyond
// either end.
class Sectors {
  public:
    explicit Sectors(const Unrolled& detail)
        : columns_(detail.level.cols),
          level_(kSectors * static_cast<std::size_t>(columns_ + 2 * kBeyond), kNone) {
        for (std::size_t sector = 0; sector < kSectors; ++sector) {
            float* level = at(sector);
            for (int col = 0; col < columns_; ++col) {
                float sum = 0.0F;
                int seen = 0;
                for (int k = 0; k < kRows; ++k) {
                    const int row = static_cast<int>(sector) * kRows + k;
                    if (detail.known(row, col) == 0) continue;
                    sum += detail.level(row, col);
                    ++seen;
                }
                if (2 * seen >= kRows) level[col] = sum / static_cast<float>(seen);
            }
        }
    }

    // The darkest within a column to either side, at every half: the centre and the lens's place
    // are known no better.
    float darkest_about(std::size_t sector, double column) const {
        const int below = cvFloor(column);
        if (below < 1 - kBeyond || below + 2 >= columns_ + kBeyond) return kNone;
        const float* here = at(sector) + below;
        const auto past = static_cast<float>(column - below);
        const auto between = [here](int first, float share) {
            return here[first] + share * (here[first + 1] - here[first]);
        };
        const bool second = past >= 0.5F;
        const float half = second ? past - 0.5F : past + 0.5F;
        float darkest = kNone;
        // What lies next to kNone is not a number, and so never less.
        for (const int first : {-1, 0, 1}) darkest = std::min(darkest, between(first, past));
        for (const int first : {-1, 0}) {
            darkest = std::min(darkest, between(second ? first + 1 : first, half));
        }
        return darkest;
    }

  private:
    static constexpr int kBeyond = 3;  // columns beyond either end

    std::size_t start(std::size_t sector) const {
        return sector * static_cast<std::size_t>(columns_ + 2 * kBeyond) + kBeyond;
    }
    float* at(std::size_t sector) { return level_.data() + start(sector); }
    const float* at(std::size_t sector) const { return level_.data() + start(sector); }

    int columns_;
    std::vector<float> level_;
};

// The darkest light of each sector about one depth; sectors that do not see it are left out.
struct Darkest {
    std::array<double, kSectors> light{};
    std::size_t count = 0;
};

Darkest round_at(const Sectors& sectors, const std::array<double, kSectors>& aways, double first,
                 double step, double depth) {
    Darkest round;
    for (std::size_t sector = 0; sector < kSectors; ++sector) {
        const double away = aways[sector];
        if (away <= 0.1) continue;
        const float darkest = sectors.darkest_about(sector, (depth / away - first) / step);
        if (darkest < kNone) round.light[round.count++] = darkest;
    }
    return round;
}

}  // namespace

std::vector<WallRing> rings_in(const Unrolled& detail, const cv::Vec3d& distance, double height_px,
                               double time_s) {
    const double first = height_px / detail.radius.front();
    const double last = height_px / detail.radius.back();
    const double step = (last - first) / (detail.level.cols - 1);
    const Sectors sectors(detail);
    std::array<double, kSectors> aways{};
    for (std::size_t sector = 0; sector < kSectors; ++sector) {
        const double angle = 2.0 * CV_PI * (static_cast<double>(sector) + 0.375) / kSectors;
        aways[sector] = at_direction(distance, angle);
    }
    std::array<double, kSteps> dark{};
    std::vector<double> all;
    for (int i = 0; i < kSteps; ++i) {
        const double depth = std::lerp(last, first, i / (kSteps - 1.0));
        Darkest round = round_at(sectors, aways, first, step, depth);
        if (round.count < kFewestSectors) continue;
        dark[static_cast<std::size_t>(i)] =
            -quantile_of_reordered(std::span(round.light).first(round.count), kAllBut);
        all.push_back(dark[static_cast<std::size_t>(i)]);
    }
    std::vector<WallRing> rings;
    if (all.size() < kSteps / 3) return rings;
    const double middle = quantile(all, 0.5);
    for (double& value : all) value = std::abs(value - middle);
    const double spread = 1.4826 * quantile(all, 0.5);
    const double least = std::max(kLeastDark, middle + kOutstanding * spread);
    for (std::size_t k = 0; k < kMost; ++k) {
        const auto darkest = std::ranges::max_element(dark);
        if (*darkest < least) break;
        // A ring is seen in several steps; its place is their middle.
        const double edge = kSameRing * *darkest;
        auto from = darkest;
        auto to = darkest;
        while (from != dark.begin() && *(from - 1) >= edge) --from;
        while (to + 1 != dark.end() && *(to + 1) >= edge) ++to;
        const double at = 0.5 * static_cast<double>((from - dark.begin()) + (to - dark.begin()));
        rings.push_back(
            {time_s, std::lerp(last, first, at / (kSteps - 1.0)), static_cast<float>(*darkest)});
        std::fill(from - std::min<std::ptrdiff_t>(kBeside, from - dark.begin()),
                  to + std::min<std::ptrdiff_t>(kBeside + 1, dark.end() - to), 0.0);
    }
    return rings;
}

}  // namespace sondeline
