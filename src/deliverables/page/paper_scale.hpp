// Scales that a ruler can read, for plans on paper.
#pragma once

#include <string>

#include "sondeline/terms.hpp"

#include "deliverables/page/plan_view.hpp"

namespace sondeline {

// CSS pixels in a millimetre of paper: 96 to the inch (CSS Values and Units, 5.2).
inline constexpr double px_per_mm = 96.0 / 25.4;

struct Sheet {
    std::string name;  // "US Letter"
    std::string css;   // "letter"
    double width_mm = 0.0;
    double height_mm = 0.0;
};

// US Letter where people work in feet, A4 (ISO 216) where they work in metres.
Sheet sheet_for(LengthUnit unit);

struct PaperScale {
    double denominator = 0.0;  // 240 for 1:240; 0: no usual scale is small enough
    std::string words;         // "1 in = 20 ft (1:240)"
};

// The largest usual scale at which the view fits: 1:20, 1:50, 1:100 and so on (ISO 5455:1979), or,
// in feet, 10, 20, 30, 40, 50 or 60 ft to the inch, ten or a hundred times that (the engineer's
// scale; common practice, no source).
PaperScale largest_scale(const PlanView& view, const SheetSize& sheet, LengthUnit unit);

// Pixels of paper in a metre of ground.
double px_per_ground_metre(const PaperScale& scale);

}  // namespace sondeline
