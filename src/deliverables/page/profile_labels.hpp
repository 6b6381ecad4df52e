// Where the words of a profile stand, clear of what is drawn.
#pragma once

#include <string_view>

#include "deliverables/page/chart_frame.hpp"
#include "deliverables/page/label_space.hpp"

namespace sondeline {

struct TextSpot {
    double x_px = 0.0;  // of the anchor
    double baseline_px = 0.0;
};

// Letters are no larger than this, chosen runs included.
inline constexpr double largest_letters_px = 17.0;

enum class ProfileEnd { start, end };

// The name of a structure at an end of the run, anchored at its outer side: on the floor of the
// frame, else the nearest place above where nothing is. The place is taken.
TextSpot place_end_name(const ChartFrame& frame, ProfileEnd end, std::string_view name,
                        LabelSpace& space);

// The words for standing water, anchored at their middle: under the water at this spot, else over
// it, else aside of that. The place is taken.
TextSpot place_water_name(const ChartFrame& frame, const TextSpot& water, std::string_view words,
                          LabelSpace& space);

}  // namespace sondeline
