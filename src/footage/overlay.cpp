#include "footage/overlay.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include <opencv2/imgproc.hpp>

#include "footage/scene.hpp"

namespace sondeline {
namespace {

constexpr int kFewestFrames = 4;
constexpr float kCoherent = 0.45F;      // reading of 30 invented clips: every counter above it
constexpr float kFaintestEdge = 30.0F;  // mean gradient, Sobel units (8 a grey level a pixel)
constexpr int kLowestText_px = 7;

// What the sums say about every pixel.
struct Edges {
    cv::Mat1f coherence;
    cv::Mat1b ink;       // 255 where a gradient stands still
    cv::Mat1i across;    // sum of horizontal gradients
    cv::Mat1f luma;      // mean over the frames
    cv::Mat1f restless;  // standard deviation over the frames
};

// A row of text in the picture of the sums; rows are half as many when interlaced.
struct Row {
    cv::Rect box;
    double ink = 0.0;
};

void accumulate(const cv::Mat1s& dx, const cv::Mat1s& dy, cv::Mat1i& sum_x, cv::Mat1i& sum_y,
                cv::Mat1i& sum_size) {
    for (int y = 0; y < dx.rows; ++y) {
        const short* gx = dx[y];
        const short* gy = dy[y];
        int* x_out = sum_x[y];
        int* y_out = sum_y[y];
        int* size_out = sum_size[y];
        for (int x = 0; x < dx.cols; ++x) {
            x_out[x] += gx[x];
            y_out[x] += gy[x];
            size_out[x] += std::abs(gx[x]) + std::abs(gy[x]);
        }
    }
}

// Rows [from, to) of `profile` that hold at least `share` of its maximum, as intervals.
std::vector<cv::Range> runs_above(const std::vector<double>& profile, double threshold) {
    std::vector<cv::Range> runs;
    int from = -1;
    for (int i = 0; i <= static_cast<int>(profile.size()); ++i) {
        const bool inside = i < static_cast<int>(profile.size()) && profile[i] > threshold;
        if (inside && from < 0) from = i;
        if (!inside && from >= 0) {
            runs.emplace_back(from, i);
            from = -1;
        }
    }
    return runs;
}

std::vector<double> ink_by_row(const cv::Mat1b& ink) {
    std::vector<double> profile;
    for (int y = 0; y < ink.rows; ++y) profile.push_back(cv::countNonZero(ink.row(y)));
    return profile;
}

// Connected pieces of closed ink, split where rows between lines of text hold next to none.
std::vector<Row> pieces(const cv::Mat1b& ink) {
    cv::Mat1b closed;
    cv::morphologyEx(ink, closed, cv::MORPH_CLOSE,
                     cv::getStructuringElement(cv::MORPH_RECT, {11, 3}));
    cv::Mat1i labels;
    cv::Mat1i stats;
    cv::Mat centroids;
    const int count = cv::connectedComponentsWithStats(closed, labels, stats, centroids, 8);
    std::vector<Row> rows;
    for (int i = 1; i < count; ++i) {
        const cv::Rect box(stats(i, cv::CC_STAT_LEFT), stats(i, cv::CC_STAT_TOP),
                           stats(i, cv::CC_STAT_WIDTH), stats(i, cv::CC_STAT_HEIGHT));
        if (stats(i, cv::CC_STAT_AREA) < 12) continue;
        const std::vector<double> profile = ink_by_row(ink(box));
        const double fullest = *std::max_element(profile.begin(), profile.end());
        for (const cv::Range& run : runs_above(profile, 0.08 * fullest)) {
            const cv::Rect part(box.x, box.y + run.start, box.width, run.size());
            rows.push_back({part, static_cast<double>(cv::countNonZero(ink(part)))});
        }
    }
    return rows;
}

int overlap(int from_a, int to_a, int from_b, int to_b) {
    return std::max(0, std::min(to_a, to_b) - std::max(from_a, from_b));
}

// Two pieces belong to one row when they stand side by side, are alike in height, and the gap
// between them is no wider than a blank between words.
bool same_row(const Row& a, const Row& b) {
    const int shared = overlap(a.box.y, a.box.br().y, b.box.y, b.box.br().y);
    const int lower = std::min(a.box.height, b.box.height);
    const int taller = std::max(a.box.height, b.box.height);
    const int gap = std::max(a.box.x, b.box.x) - std::min(a.box.br().x, b.box.br().x);
    constexpr double kBlank = 1.35;  // in heights; two blanks are a gap between fields
    return shared * 10 >= lower * 7 && gap <= kBlank * taller;
}

std::vector<Row> merged(std::vector<Row> rows) {
    std::sort(rows.begin(), rows.end(), [](const Row& a, const Row& b) {
        return std::pair(a.box.x, a.box.y) < std::pair(b.box.x, b.box.y);
    });
    for (bool changed = true; changed;) {
        changed = false;
        for (std::size_t i = 0; i < rows.size(); ++i) {
            for (std::size_t j = i + 1; j < rows.size();) {
                if (!same_row(rows[i], rows[j])) {
                    ++j;
                    continue;
                }
                rows[i].box |= rows[j].box;
                rows[i].ink += rows[j].ink;
                rows.erase(rows.begin() + static_cast<std::ptrdiff_t>(j));
                changed = true;
            }
        }
    }
    return rows;
}

// Changes of sign of the horizontal gradient along the rows, per row and per height of width: about
// three to eight for text, near none for rules, box edges and the rim of the lens.
double alternation(const Edges& edges, const cv::Rect& box) {
    int changes = 0;
    for (int y = box.y; y < box.br().y; ++y) {
        int last = 0;
        for (int x = box.x; x < box.br().x; ++x) {
            if (edges.ink(y, x) == 0) continue;
            const int sign = edges.across(y, x) > 0 ? 1 : -1;
            changes += last != 0 && sign != last ? 1 : 0;
            last = sign;
        }
    }
    const double heights = static_cast<double>(box.width) / box.height;
    return static_cast<double>(changes) / box.height / std::max(heights, 0.5);
}

double share_within(const cv::Mat1b& mask, const cv::Mat1b& of) {
    cv::Mat1b both;
    cv::bitwise_and(mask, of, both);
    return static_cast<double>(cv::countNonZero(both)) / static_cast<double>(mask.total());
}

// Strokes stand still while what lies behind the text moves. Where light and dark both stand still
// there is an outline, which is dark round light strokes in practice, or a box, which fills more
// than its strokes do.
bool is_light_on_dark(const Edges& edges, const cv::Rect& box) {
    constexpr double kStill = 0.6;   // of the restlessness of the scene about the text
    constexpr double kHardly = 0.3;  // one is still and the other is not
    constexpr double kBoxed = 0.85;  // of the area is still
    const int reach = box.height;
    const cv::Rect about =
        cv::Rect(box.x - reach, box.y - reach, box.width + 2 * reach, box.height + 2 * reach) &
        cv::Rect({0, 0}, edges.luma.size());
    const double scene = cv::mean(edges.restless(about))[0];
    const cv::Mat1f luma = edges.luma(box);
    double darkest = 0.0;
    double lightest = 0.0;
    cv::minMaxLoc(luma, &darkest, &lightest);
    const cv::Mat1b light = luma > 0.5 * (darkest + lightest);
    const cv::Mat1b dark = ~light;
    const cv::Mat1b still = edges.restless(box) < kStill * scene;
    const double still_light = share_within(still, light);
    const double still_dark = share_within(still, dark);
    if (still_dark < kHardly * still_light) return true;
    if (still_light < kHardly * still_dark) return false;
    if (still_light + still_dark > kBoxed) return still_light < still_dark;
    return true;
}

TextLine described(const Edges& edges, const cv::Rect& box, double strokes) {
    TextLine line;
    double coherence = 0.0;
    int ink = 0;
    int restless = 0;
    for (int y = box.y; y < box.br().y; ++y) {
        for (int x = box.x; x < box.br().x; ++x) {
            if (edges.ink(y, x) == 0) continue;
            ++ink;
            coherence += edges.coherence(y, x);
            restless += edges.coherence(y, x) < 0.85F ? 1 : 0;
        }
    }
    line.restless = ink > 0 ? static_cast<double>(restless) / ink : 0.0;
    line.score = coherence * std::min(1.0, strokes / 3.0);
    line.light_on_dark = is_light_on_dark(edges, box);
    return line;
}

}  // namespace

bool GradientCoherence::add(const cv::Mat1b& full) {
    const cv::Mat1b luma = interlaced_
                               ? cv::Mat1b(full.rows / 2, full.cols,
                                           const_cast<std::uint8_t*>(full.data), full.step * 2)
                               : full;
    if (luma.rows < 2 * kLowestText_px || luma.cols < 2 * kLowestText_px) return false;
    const cv::Mat1f coarse = coarse_picture(luma);
    constexpr float kOtherScene = 2.0F;  // grey levels
    if (frames_ > 0 &&
        (luma.size() != sum_x_.size() || picture_difference(coarse, last_coarse_) < kOtherScene)) {
        return false;
    }
    if (frames_ == 0) {
        for (cv::Mat1i* sum : {&sum_x_, &sum_y_, &sum_size_}) {
            *sum = cv::Mat1i::zeros(luma.size());
        }
        sum_luma_ = cv::Mat1f::zeros(luma.size());
        sum_square_ = cv::Mat1f::zeros(luma.size());
    }
    cv::Mat1s dx;
    cv::Mat1s dy;
    cv::Sobel(luma, dx, CV_16S, 1, 0);
    cv::Sobel(luma, dy, CV_16S, 0, 1);
    accumulate(dx, dy, sum_x_, sum_y_, sum_size_);
    cv::accumulate(luma, sum_luma_);
    cv::accumulateSquare(luma, sum_square_);
    last_coarse_ = coarse;
    ++frames_;
    return true;
}

std::vector<TextLine> GradientCoherence::lines(int most) const {
    std::vector<TextLine> found;
    if (frames_ < kFewestFrames) return found;
    Edges edges{cv::Mat1f(sum_x_.size()),
                cv::Mat1b(sum_x_.size()),
                sum_x_,
                cv::Mat1f(sum_luma_ / frames_),
                {}};
    cv::sqrt(cv::max(cv::Mat1f(sum_square_ / frames_) - edges.luma.mul(edges.luma), 0.0F),
             edges.restless);
    for (int y = 0; y < sum_x_.rows; ++y) {
        for (int x = 0; x < sum_x_.cols; ++x) {
            const auto kept = static_cast<float>(std::abs(sum_x_(y, x)) + std::abs(sum_y_(y, x)));
            const float coherence = kept / std::max(1.0F, static_cast<float>(sum_size_(y, x)));
            edges.coherence(y, x) = coherence;
            const bool stands =
                coherence > kCoherent && kept > kFaintestEdge * static_cast<float>(frames_);
            edges.ink(y, x) = stands ? 255 : 0;
        }
    }
    const int tallest = std::max(3 * kLowestText_px, sum_x_.rows / 8);
    const int lowest = interlaced_ ? kLowestText_px / 2 + 1 : kLowestText_px;
    for (const Row& row : merged(pieces(edges.ink))) {
        constexpr double kFewestStrokes = 1.0;
        const double strokes = alternation(edges, row.box);
        if (row.box.height < lowest || row.box.height > tallest || strokes < kFewestStrokes ||
            row.box.width < row.box.height) {
            continue;
        }
        TextLine line = described(edges, row.box, strokes);
        const int fields = interlaced_ ? 2 : 1;
        line.box = {row.box.x, row.box.y * fields, row.box.width, row.box.height * fields};
        found.push_back(line);
    }
    std::stable_sort(found.begin(), found.end(),
                     [](const TextLine& a, const TextLine& b) { return a.score > b.score; });
    if (static_cast<int>(found.size()) > most) found.resize(static_cast<std::size_t>(most));
    return found;
}

}  // namespace sondeline
