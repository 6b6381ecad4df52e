#include "support/training/overlay_scene.hpp"

#include <algorithm>
#include <cmath>

#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>

#include "support/training/chance.hpp"

namespace sondeline::support {

namespace {

// Lays `level` over the picture where `mask` (0…1) says, by `opacity`.
void lay_over(cv::Mat1f& picture, const cv::Mat1f& mask, double level, double opacity) {
    const cv::Mat1f alpha = mask * opacity;
    picture = picture.mul(1.0 - alpha) + alpha * level;
}

cv::Mat1f grown(const cv::Mat1f& mask, int radius_px) {
    cv::Mat1f result;
    const cv::Size size(2 * radius_px + 1, 2 * radius_px + 1);
    cv::dilate(mask, result, cv::getStructuringElement(cv::MORPH_ELLIPSE, size));
    return result;
}

cv::Mat1f shifted(const cv::Mat1f& mask, double right, double down) {
    cv::Mat1f result;
    const cv::Mat1d move = (cv::Mat1d(2, 3) << 1, 0, right, 0, 1, down);
    cv::warpAffine(mask, result, move, mask.size());
    return result;
}

// A filled box, sometimes framed, about the text; its edges may come close to the first and the
// last character or stand well off.
void lay_box(cv::RNG& chance, cv::Mat1f& picture, const DrawnLine& line, cv::Point origin,
             double text_level) {
    const double height = line.baseline - line.digit_top;
    const auto pad = [&](double low, double high) {
        return static_cast<int>(std::lround(between(chance, low, high) * height));
    };
    const auto text_right = static_cast<int>(line.left.back() + line.width.back());
    const int left = origin.x + static_cast<int>(line.left.front()) - pad(0.03, 0.8);
    const int right = origin.x + text_right + pad(0.03, 0.8);
    const int top = origin.y + static_cast<int>(line.digit_top) - pad(0.06, 0.5);
    const int bottom = origin.y + static_cast<int>(line.baseline) + pad(0.06, 0.5);
    cv::Mat1f mask = cv::Mat1f::zeros(picture.size());
    const cv::Rect box(left, top, right - left, bottom - top);
    cv::rectangle(mask, box, 1.0, cv::FILLED);
    lay_over(picture, mask, between(chance, 0.0, 60.0), between(chance, 0.4, 1.0));
    if (!happens(chance, 0.25)) return;
    cv::Mat1f frame = cv::Mat1f::zeros(picture.size());
    cv::rectangle(frame, box, 1.0, whole_between(chance, 1, 2));
    lay_over(picture, frame, text_level, between(chance, 0.5, 1.0));
}

// The text in one of the styles recorders use.
void lay_text(cv::RNG& chance, cv::Mat1f& picture, const DrawnLine& line, cv::Point origin) {
    const double text_level = between(chance, 150.0, 255.0);
    const double height = line.baseline - line.digit_top;
    cv::Mat1f ink = cv::Mat1f::zeros(picture.size());
    line.coverage.copyTo(ink(cv::Rect(origin, line.coverage.size())));
    const double style = between(chance, 0.0, 1.0);
    double opacity = 1.0;
    if (style < 0.38) {
        const int radius =
            std::max(1, static_cast<int>(std::lround(between(chance, 0.04, 0.13) * height)));
        if (happens(chance, 0.4)) opacity = between(chance, 0.55, 1.0);
        lay_over(picture, grown(ink, radius), between(chance, 0.0, 45.0),
                 opacity * between(chance, 0.7, 1.0));
    } else if (style < 0.68) {
        lay_box(chance, picture, line, origin, text_level);
        if (happens(chance, 0.2)) opacity = between(chance, 0.6, 1.0);
    } else if (style < 0.78) {
        const double off = between(chance, 0.04, 0.12) * height;
        lay_over(picture, shifted(ink, off, off), between(chance, 0.0, 45.0), 1.0);
    } else {
        // Nothing but the text: the wall has to be darker, or nobody could read it.
        const double brightest = text_level - between(chance, 45.0, 150.0);
        picture = picture * std::max(0.1, brightest / 200.0);
        if (happens(chance, 0.3)) opacity = between(chance, 0.6, 1.0);
    }
    lay_over(picture, ink, text_level, opacity);
}

// Blur of a cheap signal path, more across than down, and the ringing of its sharpening.
void soften(cv::RNG& chance, cv::Mat1f& picture, double height) {
    const double most = std::min(1.6, 0.06 * height);
    if (happens(chance, 0.75)) {
        const double down = between(chance, 0.05, most);
        const double across = down * between(chance, 0.8, 1.8);
        cv::GaussianBlur(picture, picture, {}, across, down);
    }
    if (happens(chance, 0.35)) {
        cv::Mat1f smooth;
        cv::GaussianBlur(picture, smooth, {}, between(chance, 0.8, 2.2), 0.01);
        picture = picture + (picture - smooth) * between(chance, 0.3, 1.3);
    }
}

// The two fields of an interlaced picture stand a little apart while something moves.
void comb(cv::RNG& chance, cv::Mat1f& picture) {
    if (!happens(chance, 0.1)) return;
    const cv::Mat1f moved = shifted(picture, between(chance, -1.2, 1.2), 0.0);
    for (int y = 1; y < picture.rows; y += 2) moved.row(y).copyTo(picture.row(y));
}

void add_noise(cv::RNG& chance, cv::Mat1f& picture) {
    if (!happens(chance, 0.8)) return;
    cv::Mat1f noise(picture.size());
    const double strength = between(chance, 0.5, 4.0);
    chance.fill(noise, cv::RNG::NORMAL, 0.0, strength * strength);
    picture += noise;
}

cv::Mat1b compressed(cv::RNG& chance, const cv::Mat1f& picture) {
    cv::Mat1b kept;
    picture.convertTo(kept, CV_8U);
    if (!happens(chance, 0.8)) return kept;
    std::vector<unsigned char> bytes;
    cv::imencode(".jpg", kept, bytes, {cv::IMWRITE_JPEG_QUALITY, whole_between(chance, 15, 75)});
    return cv::imdecode(bytes, cv::IMREAD_GRAYSCALE);
}

}  // namespace

cv::Mat1f random_wall(cv::RNG& chance, cv::Size size) {
    cv::Mat1f wall(size, static_cast<float>(between(chance, 15.0, 190.0)));
    for (const double grain_px : {60.0, 22.0, 8.0, 3.0}) {
        const double along = grain_px * by_ratio(chance, 0.6, 1.7);
        cv::Mat1f coarse(static_cast<int>(size.height / grain_px) + 2,
                         static_cast<int>(size.width / along) + 2);
        chance.fill(coarse, cv::RNG::NORMAL, 0.0,
                    between(chance, 0.0, 3.0 + std::sqrt(grain_px) * 2.5));
        cv::Mat1f smooth;
        cv::resize(coarse, smooth, size, 0, 0, cv::INTER_CUBIC);
        wall += smooth;
    }
    for (int lines = whole_between(chance, 0, 3); lines > 0; --lines) {  // joints and scratches
        const cv::Point from(chance.uniform(0, size.width), chance.uniform(0, size.height));
        const cv::Point to(chance.uniform(0, size.width), chance.uniform(0, size.height));
        cv::line(wall, from, to, between(chance, 0.0, 255.0), whole_between(chance, 1, 3));
    }
    cv::GaussianBlur(wall, wall, {}, between(chance, 0.4, 2.0));
    return cv::min(cv::max(wall, 0.0), 255.0);
}

Scene random_scene(cv::RNG& chance, const DrawnLine& line) {
    const double height = line.baseline - line.digit_top;
    const auto margin_x = static_cast<int>(2.2 * line.digit_pitch + between(chance, 4.0, 16.0));
    const auto margin_y = static_cast<int>(0.7 * height + between(chance, 4.0, 16.0));
    Scene scene;
    scene.origin = {margin_x, margin_y};
    const cv::Size size(line.coverage.cols + 2 * margin_x, line.coverage.rows + 2 * margin_y);
    cv::Mat1f picture = random_wall(chance, size);
    lay_text(chance, picture, line, scene.origin);
    soften(chance, picture, height);
    comb(chance, picture);
    add_noise(chance, picture);
    scene.luma = compressed(chance, picture);
    return scene;
}

}  // namespace sondeline::support
