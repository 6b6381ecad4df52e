#include "deliverables/page/label_space.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace sondeline {

namespace {

double overlap_px2(const LabelBox& a, const LabelBox& b) {
    const double wide = std::min(a.right_px, b.right_px) - std::max(a.left_px, b.left_px);
    const double high = std::min(a.bottom_px, b.bottom_px) - std::max(a.top_px, b.top_px);
    return wide > 0.0 && high > 0.0 ? wide * high : 0.0;
}

bool continues_character(char c) {
    return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U;
}

double area_px2(const LabelBox& box) {
    return (box.right_px - box.left_px) * (box.bottom_px - box.top_px);
}

}  // namespace

LabelBox text_box(double x_px, double baseline_px, std::string_view text, double size_px) {
    // Bytes that continue a UTF-8 character take no room.
    const auto letters =
        std::ranges::count_if(text, [](char c) { return !continues_character(c); });
    return {x_px, baseline_px - 0.85 * size_px,
            x_px + 0.58 * size_px * static_cast<double>(letters), baseline_px + 0.3 * size_px};
}

std::string shortened(std::string_view name, std::size_t most) {
    std::size_t letters = 0;
    std::size_t cut = name.size();
    for (std::size_t i = 0; i < name.size(); ++i) {
        if (continues_character(name[i])) continue;
        if (++letters == most) cut = i;
    }
    if (letters <= most) return std::string(name);
    while (cut > 0 && name[cut - 1] == ' ') --cut;
    return std::string(name.substr(0, cut)) + "…";
}

void LabelSpace::take_line(double x1_px, double y1_px, double x2_px, double y2_px, double half_px) {
    const double length_px = std::hypot(x2_px - x1_px, y2_px - y1_px);
    const int steps = std::max(1, static_cast<int>(std::ceil(length_px / (2.0 * half_px))));
    for (int i = 0; i <= steps; ++i) {
        const double share = static_cast<double>(i) / steps;
        const double x = x1_px + share * (x2_px - x1_px);
        const double y = y1_px + share * (y2_px - y1_px);
        take({x - half_px, y - half_px, x + half_px, y + half_px});
    }
}

double LabelSpace::covered_px2(const LabelBox& box) const {
    const double inside = overlap_px2(box, {0.0, 0.0, width_px_, height_px_});
    double covered = 4.0 * (area_px2(box) - inside);
    for (const LabelBox& other : taken_) covered += overlap_px2(box, other);
    return covered;
}

std::size_t LabelSpace::place(const std::vector<LabelBox>& boxes) {
    std::size_t best = 0;
    double least = covered_px2(boxes.front());
    for (std::size_t i = 1; i < boxes.size() && least > 0.0; ++i) {
        const double covered = covered_px2(boxes[i]);
        if (covered < least - 1e-9) {
            least = covered;
            best = i;
        }
    }
    take(boxes[best]);
    return best;
}

}  // namespace sondeline
