#include "footage/seen_point.hpp"

#include <algorithm>
#include <array>
#include <numeric>
#include <utility>
#include <vector>

namespace sondeline {

namespace {

constexpr float kSurePath = 0.98F;
constexpr int kFewestCrops = 12;
constexpr std::size_t kMostGaps = 7;
// Where in the gap the point stands, in cells from its middle: digits that lean carry it aside.
constexpr std::array kAside{-0.16, -0.08, 0.0, 0.08, 0.16};
constexpr double kHalfAsWide = 0.07;
constexpr double kInk = 0.3;    // of the contrast of the strokes
constexpr double kApart = 0.1;  // and this much above twice the next gap's
constexpr double kAlone = 0.2;  // taken for the next gap's where there is none
// Rows, in heights of the digits. A point is as high as one of those at the feet, or higher.
constexpr std::array<std::array<double, 2>, 3> kFeet{{{0.80, 0.88}, {0.88, 0.96}, {0.96, 1.04}}};
constexpr std::array kWaist{0.30, 0.60};

constexpr int kFewestOfADigit = 4;  // crops

using GapInk = std::array<double, kAside.size()>;

struct Gap {
    double middle_px = 0.0;
    std::size_t before = 0;  // digit on its left
    std::size_t after = 0;   // on its right
};

// The gap on the left of each digit but the first, from the last digit on.
std::vector<Gap> gaps_of(const Candidate& candidate, std::int64_t ticks) {
    const LineStructure& structure = candidate.structure;
    const WrittenLayout* layout = layout_of(structure.shape, ticks);
    std::vector<Gap> gaps;
    int right = -1;
    std::size_t shown_right = 0;
    for (int cell = structure.shape.cells - 1; layout != nullptr && cell >= 0; --cell) {
        const int shown = class_in_cell(layout->cells[cell], ticks);
        if (shown >= minus_class) continue;
        const double end = structure.cell_left_px[cell] + structure.cell_width_px[cell];
        if (right >= 0) {
            gaps.push_back({0.5 * (end + structure.cell_left_px[right]),
                            static_cast<std::size_t>(shown), shown_right});
        }
        right = cell;
        shown_right = static_cast<std::size_t>(shown);
    }
    return gaps;
}

double mean_of(const cv::Mat1b& luma, const cv::Rect2d& where) {
    const cv::Rect pixels(cv::Point(cvFloor(where.x), cvFloor(where.y)),
                          cv::Point(cvCeil(where.br().x), cvCeil(where.br().y)));
    const cv::Rect inside = pixels & cv::Rect(0, 0, luma.cols, luma.rows);
    return inside.empty() ? 0.0 : cv::mean(luma(inside))[0];
}

// Grey level of the strokes, from the first to the last cell.
double level_of_strokes(const cv::Mat1b& bright, const LineStructure& structure) {
    const double left = structure.cell_left_px.front();
    const double right = structure.cell_left_px.back() + structure.cell_width_px.back();
    const cv::Rect row(cvFloor(left), cvFloor(structure.row_top_px), cvCeil(right - left),
                       cvCeil(structure.row_height_px));
    const cv::Mat1b digits = bright(row & cv::Rect(0, 0, bright.cols, bright.rows)).clone();
    if (digits.empty()) return 0.0;
    std::vector<std::uint8_t> greys(digits.begin(), digits.end());
    const auto high = greys.begin() + static_cast<std::ptrdiff_t>(greys.size() * 95 / 100);
    std::nth_element(greys.begin(), high, greys.end());
    return *high;
}

// By the digit on one side of the gap.
struct SumsOfSide {
    std::array<GapInk, 10> ink{};
    std::array<int, 10> crops{};

    // Mean ink beside the digit beside which there is least.
    double least(std::size_t aside) const {
        double least = 1.0;
        for (std::size_t digit = 0; digit < ink.size(); ++digit) {
            if (crops[digit] < kFewestOfADigit) continue;
            least = std::min(least, ink[digit][aside] / crops[digit]);
        }
        return least;
    }

    int digits() const {
        return static_cast<int>(
            std::ranges::count_if(crops, [](int n) { return n >= kFewestOfADigit; }));
    }
};

// A point is there whatever digits stand before and behind it; the foot of a digit that leans, or
// whose cell is a little off, is not.
struct SumsOfGap {
    SumsOfSide before;
    SumsOfSide after;

    int all_crops() const { return std::accumulate(before.crops.begin(), before.crops.end(), 0); }

    // Behind a digit that never changes, or changes between two that both have a foot there, as 3
    // and 4 of a display do, nothing tells a point from the foot.
    double least_for_a_point(std::size_t aside) const {
        constexpr int kFewestDigits = 3;
        return before.digits() >= kFewestDigits ? std::min(before.least(aside), after.least(aside))
                                                : 0.0;
    }

    double least_for_ink(std::size_t aside) const { return before.least(aside); }

    double mean(std::size_t aside) const {
        double sum = 0.0;
        for (const GapInk& of_digit : before.ink) sum += of_digit[aside];
        return sum / std::max(1, all_crops());
    }
};

using Sums = std::array<SumsOfGap, kMostGaps>;

void add_crop(const Candidate& candidate, const LineCrop& crop, std::int64_t ticks, Sums& sums) {
    const LineStructure& structure = candidate.structure;
    const cv::Mat1b bright = structure.line.light_on_dark ? crop.luma : cv::Mat1b(255 - crop.luma);
    const double strokes = level_of_strokes(bright, structure);
    const double width = candidate.grid.band.pitch_px;
    const std::vector<Gap> gaps = gaps_of(candidate, ticks);
    for (std::size_t gap = 0; gap < std::min(gaps.size(), kMostGaps); ++gap) {
        const std::size_t before = gaps[gap].before;
        const std::size_t after = gaps[gap].after;
        ++sums[gap].before.crops[before];
        ++sums[gap].after.crops[after];
        for (std::size_t aside = 0; aside < kAside.size(); ++aside) {
            const double left = gaps[gap].middle_px + (kAside[aside] - kHalfAsWide) * width;
            const auto level = [&](const std::array<double, 2>& rows) {
                const double top = structure.row_top_px + rows[0] * structure.row_height_px;
                const double height = (rows[1] - rows[0]) * structure.row_height_px;
                return mean_of(bright, {left, top, 2.0 * kHalfAsWide * width, height});
            };
            const double waist = level(kWaist);
            double feet = 0.0;
            for (const auto& rows : kFeet) feet = std::max(feet, level(rows));
            const double ink = (feet - waist) / std::max(1.0, strokes - waist);
            sums[gap].before.ink[before][aside] += ink;
            sums[gap].after.ink[after][aside] += ink;
        }
    }
}

using LeastInk = double (SumsOfGap::*)(std::size_t aside) const;

std::optional<int> digits_behind(const Candidate& candidate, std::span<const LineCrop* const> crops,
                                 LeastInk least) {
    Sums sums;
    for (std::size_t i = 0; i < crops.size(); ++i) {
        const PathValue& value = candidate.path.values[i];
        if (value.probability >= kSurePath) add_crop(candidate, *crops[i], value.ticks, sums);
    }
    std::optional<int> behind;
    double most = kInk;
    for (std::size_t aside = 0; aside < kAside.size(); ++aside) {
        std::vector<std::pair<double, int>> by_ink;
        for (std::size_t gap = 0; gap < kMostGaps; ++gap) {
            if (sums[gap].all_crops() < kFewestCrops) continue;
            by_ink.emplace_back(sums[gap].mean(aside), static_cast<int>(gap) + 1);
        }
        std::sort(by_ink.rbegin(), by_ink.rend());
        if (by_ink.empty() || by_ink.front().first <= most) continue;
        const double next = by_ink.size() > 1 ? std::max(0.0, by_ink[1].first) : kAlone;
        if (by_ink.front().first < 2.0 * next + kApart) continue;
        const auto gap = static_cast<std::size_t>(by_ink.front().second - 1);
        if ((sums[gap].*least)(aside) < kInk) continue;
        most = by_ink.front().first;
        behind = by_ink.front().second;
    }
    return behind;
}

}  // namespace

std::optional<int> digits_behind_point(const Candidate& candidate,
                                       std::span<const LineCrop* const> crops) {
    return digits_behind(candidate, crops, &SumsOfGap::least_for_a_point);
}

std::optional<int> digits_behind_ink(const Candidate& candidate,
                                     std::span<const LineCrop* const> crops) {
    return digits_behind(candidate, crops, &SumsOfGap::least_for_ink);
}

}  // namespace sondeline
