#include "deliverables/page/profile_labels.hpp"

#include <vector>

namespace sondeline {

namespace {

constexpr double kStep_px = 6.0;

TextSpot best_of(const std::vector<TextSpot>& spots, double share_left_of_anchor,
                 std::string_view text, LabelSpace& space) {
    std::vector<LabelBox> boxes;
    boxes.reserve(spots.size());
    for (const TextSpot& spot : spots) {
        LabelBox box = text_box(spot.x_px, spot.baseline_px, text, largest_letters_px);
        const double left_px = share_left_of_anchor * (box.right_px - box.left_px);
        box.left_px -= left_px;
        box.right_px -= left_px;
        boxes.push_back(box);
    }
    return spots[space.place(boxes)];
}

}  // namespace

TextSpot place_end_name(const ChartFrame& frame, ProfileEnd end, std::string_view name,
                        LabelSpace& space) {
    const bool start = end == ProfileEnd::start;
    const double x_px = start ? frame.x(0.0) + 5.0 : frame.x(frame.along_end) - 2.0;
    const double inwards = start ? 1.0 : -1.0;
    std::vector<TextSpot> spots;
    for (double y_px = frame.height_px - ChartFrame::bottom_px - 7.0;
         y_px > ChartFrame::top_px + largest_letters_px; y_px -= kStep_px) {
        // Aside is past the number of a note at that end.
        for (const double aside_px : {0.0, 22.0}) {
            spots.push_back({x_px + inwards * aside_px, y_px});
        }
    }
    return best_of(spots, start ? 0.0 : 1.0, name, space);
}

TextSpot place_water_name(const ChartFrame& frame, const TextSpot& water, std::string_view words,
                          LabelSpace& space) {
    constexpr double kUnder_px = 26.0;
    constexpr double kOver_px = 14.0;
    const double floor_px = frame.height_px - ChartFrame::bottom_px;
    std::vector<TextSpot> spots;
    const auto add = [&](double dy_px) {
        for (const double dx_px : {0.0, -40.0, 40.0, -80.0, 80.0}) {
            spots.push_back({water.x_px + dx_px, water.baseline_px + dy_px});
        }
    };
    if (water.baseline_px + kUnder_px <= floor_px - 7.0) add(kUnder_px);
    for (double dy_px = kOver_px; dy_px < 80.0; dy_px += kStep_px) add(-dy_px);
    return best_of(spots, 0.5, words, space);
}

}  // namespace sondeline
