#include <algorithm>
#include <cmath>

#include <opencv2/imgproc.hpp>

#include "support/training/chance.hpp"
#include "support/training/overlay_scene.hpp"

namespace sondeline::support {

namespace {

// Strokes widened or narrowed by a fraction of a pixel: the picture is mixed with its local
// maximum or minimum.
void change_weight(cv::Mat1f& coverage, double weight_px) {
    const auto share = static_cast<float>(std::min(std::abs(weight_px), 1.0));
    if (share == 0.0F) return;
    cv::Mat changed;
    const cv::Mat around = cv::getStructuringElement(cv::MORPH_RECT, {3, 3});
    if (weight_px > 0.0) {
        cv::dilate(coverage, changed, around);
    } else {
        cv::erode(coverage, changed, around);
    }
    coverage = coverage * (1.0F - share) + changed * share;
}

void dim_every_other_row(cv::Mat1f& coverage) {
    for (int y = 1; y < coverage.rows; y += 2) coverage.row(y) *= 0.3F;
}

// How much of the interval [from, to) lies in the last `gap` of each step of a scale.
double share_in_gaps(double from, double to, double gap) {
    const auto up_to = [gap](double x) {
        const double whole = std::floor(x);
        return whole * gap + std::max(0.0, x - whole - (1.0 - gap));
    };
    return (up_to(to) - up_to(from)) / (to - from);
}

// A character generator's dots stand apart: between its rows, and maybe its columns, is a gap.
void part_dots(const Lettering& lettering, cv::Mat1f& coverage) {
    for (int y = 0; y < coverage.rows; ++y) {
        const double step = lettering.enlarge_y;
        coverage.row(y) *= 1.0 - share_in_gaps(y / step, (y + 1) / step, lettering.row_gap);
    }
    for (int x = 0; x < coverage.cols; ++x) {
        const double step = lettering.enlarge_x;
        coverage.col(x) *= 1.0 - share_in_gaps(x / step, (x + 1) / step, lettering.column_gap);
    }
}

}  // namespace

Lettering random_lettering(cv::RNG& chance, double low_px, double high_px) {
    Lettering lettering;
    const double height = by_ratio(chance, low_px, high_px);
    lettering.drawn_height_px = static_cast<int>(std::lround(height));
    lettering.shape.fixed_pitch = happens(chance, 0.5);
    lettering.shape.stretch = happens(chance, 0.6) ? by_ratio(chance, 0.75, 1.35) : 1.0;
    if (happens(chance, 0.25)) lettering.shape.slant = between(chance, -0.05, 0.22);
    if (happens(chance, 0.3)) {  // a character generator of few, hard pixels
        const int drawn = std::min(whole_between(chance, 7, 16), lettering.drawn_height_px);
        lettering.drawn_height_px = drawn;
        lettering.shape.antialiased = false;
        lettering.enlarge_y = height / drawn;
        lettering.enlarge_x = lettering.enlarge_y * by_ratio(chance, 0.85, 1.2);
        if (happens(chance, 0.4)) lettering.row_gap = between(chance, 0.1, 0.6);
        if (happens(chance, 0.15)) lettering.column_gap = between(chance, 0.1, 0.4);
    } else if (happens(chance, 0.15)) {
        lettering.shape.antialiased = false;
    }
    if (happens(chance, 0.4)) lettering.weight_px = between(chance, -0.35, 0.9) * height / 20.0;
    lettering.scan_lines = happens(chance, 0.08);
    return lettering;
}

std::optional<DrawnLine> draw_line(const std::filesystem::path& face, const Lettering& lettering,
                                   const std::string& text) {
    const auto typeface = Typeface::open(face, lettering.drawn_height_px);
    if (!typeface || text.empty()) return std::nullopt;
    const DrawnText zero = typeface->draw("0", lettering.shape);
    const DrawnText drawn = typeface->draw(text, lettering.shape);
    if (zero.ink.front().empty()) return std::nullopt;
    DrawnLine line;
    drawn.coverage.convertTo(line.coverage, CV_32F, 1.0 / 255.0);
    for (std::size_t i = 0; i < drawn.cells.size(); ++i) {
        line.left.push_back(drawn.cells[i].x);
        line.width.push_back(drawn.cells[i].width);
        line.inked.push_back(!drawn.ink[i].empty());
    }
    const cv::Rect ink = zero.ink.front();
    line.digit_pitch = zero.cells.front().width;
    line.digit_top = ink.y - zero.baseline + drawn.baseline;
    line.baseline = line.digit_top + ink.height;
    finish(lettering, line);
    return line;
}

void finish(const Lettering& lettering, DrawnLine& line) {
    const double across = lettering.enlarge_x;
    const double down = lettering.enlarge_y;
    if (lettering.scan_lines) dim_every_other_row(line.coverage);
    if (across != 1.0 || down != 1.0) {
        const bool whole = across >= 1.0 && down >= 1.0;
        cv::resize(line.coverage, line.coverage, {}, across, down,
                   whole ? cv::INTER_NEAREST_EXACT : cv::INTER_AREA);
    }
    if (lettering.row_gap > 0.0 || lettering.column_gap > 0.0) part_dots(lettering, line.coverage);
    change_weight(line.coverage, lettering.weight_px);
    for (double& left : line.left) left *= across;
    for (double& width : line.width) width *= across;
    line.digit_pitch *= across;
    line.digit_top *= down;
    line.baseline *= down;
}

void warp(cv::RNG& chance, cv::Mat1f& coverage, double strength_px) {
    constexpr double grain_per_strength = 9.0;
    const double grain = std::max(4.0, grain_per_strength * strength_px);
    const cv::Size coarse_size(static_cast<int>(coverage.cols / grain) + 3,
                               static_cast<int>(coverage.rows / grain) + 3);
    cv::Mat2f coarse(coarse_size);
    chance.fill(coarse, cv::RNG::NORMAL, 0.0, strength_px);
    cv::Mat2f from;
    cv::resize(coarse, from, coverage.size(), 0, 0, cv::INTER_CUBIC);
    for (int y = 0; y < from.rows; ++y) {
        for (int x = 0; x < from.cols; ++x) {
            from(y, x) += cv::Vec2f(static_cast<float>(x), static_cast<float>(y));
        }
    }
    cv::Mat1f bent;
    cv::remap(coverage, bent, from, cv::noArray(), cv::INTER_LINEAR);
    coverage = bent;
}

}  // namespace sondeline::support
