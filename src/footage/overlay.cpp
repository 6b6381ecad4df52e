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
constexpr float kCoherent = 0.45F;  // reading of 30 invented clips: every counter above it
constexpr float kMostCoherent = 0.95F;
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

int count_both(const cv::Mat1b& a, const cv::Mat1b& b) {
    cv::Mat1b both;
    cv::bitwise_and(a, b, both);
    return cv::countNonZero(both);
}

// Mean standard deviation of the scene in a ring about the text, beyond the margin of a box.
double restlessness_about(const Edges& edges, const cv::Rect& box) {
    const auto grown = [&](double heights) {
        const int rows = static_cast<int>(heights * box.height);
        const int columns = rows * edges.rows_apart;
        return cv::Rect(box.x - columns, box.y - rows, box.width + 2 * columns,
                        box.height + 2 * rows) &
               cv::Rect({0, 0}, edges.restless.size());
    };
    const cv::Rect outer = grown(1.5);
    const cv::Rect inner = grown(0.6);
    const double ring = static_cast<double>(outer.area() - inner.area());
    if (ring <= 0.0) return 0.0;
    return (cv::sum(edges.restless(outer))[0] - cv::sum(edges.restless(inner))[0]) / ring;
}

// Strokes stand still while what lies behind the text moves. Where most of it stands still there is
// a box, which fills more than its strokes do, or nothing moves at all. An outline is dark round
// light strokes in practice: then about as much of what is light stands still.
bool is_light_on_dark(const Edges& edges, const cv::Rect& box) {
    constexpr double kStill = 0.6;  // of the restlessness of the scene about the text
    constexpr double kBoxed = 0.6;  // of the area is still
    constexpr double kOutlined = 0.3;
    constexpr double kStrokes = 0.35;  // of what is light is still
    const double scene = restlessness_about(edges, box);
    const cv::Mat1f luma = edges.luma(box);
    double darkest = 0.0;
    double lightest = 0.0;
    cv::minMaxLoc(luma, &darkest, &lightest);
    const cv::Mat1b light_mask = luma > 0.5 * (darkest + lightest);
    const cv::Mat1b still_mask = edges.restless(box) < kStill * scene;
    const double light = cv::countNonZero(light_mask);
    const double dark = static_cast<double>(box.area()) - light;
    const double still = cv::countNonZero(still_mask);
    const double still_light = count_both(light_mask, still_mask);
    if (still > kBoxed * box.area()) return light < 2.0 * dark;
    return still_light >= kOutlined * (still - still_light) || still_light >= kStrokes * light;
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

// Glyphs that change hide which way their strokes are. Lines of one overlay are drawn alike, so
// such a line takes the polarity of the stillest.
void side_with_the_still(std::vector<TextLine>& lines) {
    constexpr double kRestless = 0.4;
    const auto stillest = std::min_element(
        lines.begin(), lines.end(),
        [](const TextLine& a, const TextLine& b) { return a.restless < b.restless; });
    if (stillest == lines.end() || stillest->restless >= kRestless) return;
    for (TextLine& line : lines) {
        if (line.restless >= kRestless) line.light_on_dark = stillest->light_on_dark;
    }
}

double share_above(const cv::Mat1f& coherence, float threshold) {
    return static_cast<double>(cv::countNonZero(coherence > threshold)) /
           static_cast<double>(coherence.total());
}

// Where the wall changed little it is coherent too, though less so than most of the text: the
// threshold rises until little more is left than what hardly changed at all.
float ink_threshold(const cv::Mat1f& coherence) {
    constexpr float kStep = 0.05F;
    constexpr double kMostText = 0.07;  // of the picture; four lines of text take about 0.03
    constexpr double kChanging = 1.25;  // ink with the glyphs that change, over that without
    constexpr double kMostWall = 0.02;  // this much wall does not hide text
    const double most = std::min(kMostText, kChanging * share_above(coherence, 0.9F) + kMostWall);
    float threshold = kCoherent;
    while (threshold < kMostCoherent && share_above(coherence, threshold) > most) {
        threshold += kStep;
    }
    return threshold;
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
            const bool strong = kept > kFaintestEdge * static_cast<float>(frames_);
            edges.coherence(y, x) =
                strong ? kept / std::max(1.0F, static_cast<float>(sum_size_(y, x))) : 0.0F;
        }
    }
    edges.ink = edges.coherence > ink_threshold(edges.coherence);
    const int tallest = tallest_text(sum_x_.rows);
    const int lowest = interlaced_ ? kLowestText_px - 1 : kLowestText_px;  // 12 px in two fields
    for (const cv::Rect& row : text_rows(edges)) {
        for (const cv::Rect& box : fields_of(edges, row)) {
            constexpr double kFewestStrokes = 1.0;
            const double strokes = alternation(edges, box, box.height);
            if (box.height < lowest || box.height > tallest || strokes < kFewestStrokes ||
                box.width < box.height * edges.rows_apart) {
                continue;
            }
            TextLine line = described(edges, box, strokes);
            line.box = {box.x, box.y * edges.rows_apart, box.width, box.height * edges.rows_apart};
            found.push_back(line);
        }
    }
    side_with_the_still(found);
    std::stable_sort(found.begin(), found.end(),
                     [](const TextLine& a, const TextLine& b) { return a.score > b.score; });
    if (static_cast<int>(found.size()) > most) found.resize(static_cast<std::size_t>(most));
    return found;
}

}  // namespace sondeline
