#include <algorithm>
#include <cmath>

#include "support/pipe_picture.hpp"
#include "support/smooth_noise.hpp"

namespace sondeline::support {

namespace {

constexpr std::uint64_t drop_stream = 54;
constexpr double drop_rim = 0.85;  // of a droplet's radius, where its dark rim begins

}  // namespace

// What stands on or before the lens: droplets that turn the picture round in them, and a lamp's own
// glare.
void PipePicture::mark_lens(cv::Mat1b& luma) const {
    const CameraScene& camera = scenario_.camera;
    const double size = std::hypot(luma.cols, luma.rows);
    cv::RNG random(mixed(scenario_.seed, drop_stream));
    for (int drop = 0; drop < camera.droplets; ++drop) {
        const cv::Point at(random.uniform(0, luma.cols), random.uniform(0, luma.rows));
        const double radius = size * random.uniform(0.015, 0.06);
        const int reach = cvCeil(radius);
        const cv::Mat1b behind = luma.clone();
        for (int row = std::max(0, at.y - reach); row < std::min(luma.rows, at.y + reach); ++row) {
            for (int col = std::max(0, at.x - reach); col < std::min(luma.cols, at.x + reach);
                 ++col) {
                const double off = std::hypot(col - at.x, row - at.y) / radius;
                if (off > 1.0) continue;
                const int y = std::clamp(at.y - 4 * (row - at.y), 0, luma.rows - 1);
                const int x = std::clamp(at.x - 4 * (col - at.x), 0, luma.cols - 1);
                const double rim = off > drop_rim ? 0.55 : 1.1;
                luma(row, col) = cv::saturate_cast<unsigned char>(rim * behind(y, x));
            }
        }
    }
    if (camera.vignette <= 0.0 && camera.glare <= 0.0) return;
    const cv::Point2d spot(luma.cols * random.uniform(0.3, 0.7),
                           luma.rows * random.uniform(0.55, 0.9));
    for (int row = 0; row < luma.rows; ++row) {
        for (int col = 0; col < luma.cols; ++col) {
            const double off =
                2.0 * std::hypot(col - 0.5 * luma.cols, row - 0.5 * luma.rows) / size;
            const double near = std::hypot(col - spot.x, row - spot.y) / (0.12 * size);
            const double level = luma(row, col) * (1.0 - camera.vignette * off * off) +
                                 190.0 * camera.glare * std::exp(-near * near);
            luma(row, col) = cv::saturate_cast<unsigned char>(level);
        }
    }
}

}  // namespace sondeline::support
