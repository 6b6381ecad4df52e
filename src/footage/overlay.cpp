#include "footage/overlay.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include <opencv2/imgproc.hpp>

#include "footage/scene.hpp"
#include "footage/text_rows.hpp"

namespace sondeline {
namespace {

constexpr int kFewestFrames = 4;
constexpr float kCoherent = 0.45F;      // reading of 30 invented clips: every counter above it
constexpr float kFaintestEdge = 30.0F;  // mean gradient, Sobel units (8 a grey level a pixel)
constexpr int kLowestText_px = 7;

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
    const double heights = static_cast<double>(box.width) / (box.height * edges.rows_apart);
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
    for (int y = box.y; y < box.br().y; ++y) {
        for (int x = box.x; x < box.br().x; ++x) {
            if (edges.ink(y, x) != 0) coherence += edges.coherence(y, x);
        }
    }
    line.restless = restless_share(edges, box);
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
    cv::Sobel(luma, slope_x_, CV_16S, 1, 0);
    cv::Sobel(luma, slope_y_, CV_16S, 0, 1);
    accumulate(slope_x_, slope_y_, sum_x_, sum_y_, sum_size_);
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
                {},
                interlaced_ ? 2 : 1};
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
    for (const cv::Rect& row : text_rows(edges)) {
        for (const cv::Rect& box : fields_of(edges, row)) {
            constexpr double kFewestStrokes = 1.0;
            const double strokes = alternation(edges, box);
            if (box.height < lowest || box.height > tallest || strokes < kFewestStrokes ||
                box.width < box.height * edges.rows_apart) {
                continue;
            }
            TextLine line = described(edges, box, strokes);
            line.box = {box.x, box.y * edges.rows_apart, box.width, box.height * edges.rows_apart};
            found.push_back(line);
        }
    }
    std::stable_sort(found.begin(), found.end(),
                     [](const TextLine& a, const TextLine& b) { return a.score > b.score; });
    if (static_cast<int>(found.size()) > most) found.resize(static_cast<std::size_t>(most));
    return found;
}

}  // namespace sondeline
