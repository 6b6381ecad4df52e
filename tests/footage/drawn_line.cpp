#include "footage/drawn_line.hpp"

#include <algorithm>
#include <random>
#include <stdexcept>

#include <opencv2/imgproc.hpp>

#include "support/overlay_text.hpp"
#include "support/typeface.hpp"

namespace sondeline {

std::vector<const LineCrop*> DrawnLine::pointers() const {
    std::vector<const LineCrop*> all;
    for (const LineCrop& crop : crops) all.push_back(&crop);
    return all;
}

DrawnLine drawn_line(const std::vector<std::string>& texts, const std::string& face_file,
                     int height_px) {
    constexpr int kLeft_px = 40;
    constexpr int kTop_px = 20;
    const auto face = support::Typeface::open(support::find_font(face_file), height_px);
    if (!face) throw std::runtime_error("no typeface to draw with");
    const support::DrawnText zero = face->draw("0");
    DrawnLine drawn;
    drawn.first_px = kLeft_px + zero.cells.front().x;
    drawn.band = {static_cast<double>(kTop_px + zero.ink.front().y),
                  static_cast<double>(zero.ink.front().height),
                  static_cast<double>(zero.cells.front().width)};
    // Room for ten small digits, or for whatever reaches beyond them and the margin.
    cv::Size room(10 * zero.cells.front().width, 40);
    for (const std::string& text : texts) {
        const cv::Mat1b ink = face->draw(text).coverage;
        room = {std::max(room.width, ink.cols - kLeft_px),
                std::max(room.height, ink.rows - kTop_px)};
    }
    const cv::Size size(2 * kLeft_px + room.width, 2 * kTop_px + room.height);
    drawn.line.crop = {100, 200, size.width, size.height};
    drawn.line.text = {kLeft_px, static_cast<int>(drawn.band.top_px), 6 * zero.cells.front().width,
                       static_cast<int>(drawn.band.height_px)};
    std::mt19937 chance(5);
    for (const std::string& text : texts) {
        cv::Mat1b luma(size);
        for (std::uint8_t& grey : luma) grey = static_cast<std::uint8_t>(70 + chance() % 25);
        const cv::Mat1b ink = face->draw(text).coverage;
        for (int y = 0; y < ink.rows; ++y) {
            for (int x = 0; x < ink.cols; ++x) {
                std::uint8_t& grey = luma(kTop_px + y, kLeft_px + x);
                grey = static_cast<std::uint8_t>(grey + (235 - grey) * ink(y, x) / 255);
            }
        }
        drawn.crops.push_back({0.1 * static_cast<double>(drawn.crops.size()), luma, -1.0F});
    }
    return drawn;
}

void outline(DrawnLine& drawn, int wall) {
    constexpr int kStrokes = 140;   // and lighter
    constexpr int kDrawnUpon = 82;  // on average
    for (LineCrop& crop : drawn.crops) {
        const cv::Mat1b ink = crop.luma > kStrokes;
        cv::Mat1b around;
        cv::dilate(ink, around, cv::getStructuringElement(cv::MORPH_RECT, {5, 5}));
        crop.luma += wall - kDrawnUpon;
        crop.luma.setTo(10, around);
        crop.luma.setTo(200, ink);
    }
}

}  // namespace sondeline
