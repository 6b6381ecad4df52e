#include "deliverables/page/paper_scale.hpp"

#include <array>

#include <fmt/format.h>

namespace sondeline {

namespace {

constexpr std::array<double, 6> feet_to_the_inch{10.0, 20.0, 30.0, 40.0, 50.0, 60.0};
constexpr std::array<double, 3> metric{2.0, 5.0, 10.0};

std::string words_of(double denominator, LengthUnit unit) {
    if (unit == LengthUnit::metre) return fmt::format("1:{:.0f}", denominator);
    return fmt::format("1 in = {:.0f} ft (1:{:.0f})", denominator / 12.0, denominator);
}

}  // namespace

Sheet sheet_for(LengthUnit unit) {
    if (unit == LengthUnit::metre) return {"A4", "a4", 210.0, 297.0};
    return {"US Letter", "letter", 215.9, 279.4};
}

double px_per_ground_metre(const PaperScale& scale) {
    return 1000.0 * px_per_mm / scale.denominator;
}

PaperScale largest_scale(const PlanView& view, const SheetSize& sheet, LengthUnit unit) {
    const auto try_scale = [&](double denominator) {
        PaperScale scale{denominator, words_of(denominator, unit)};
        return fits(view, sheet, px_per_ground_metre(scale)) ? scale : PaperScale{};
    };
    for (const double power : {1.0, 10.0, 100.0}) {
        if (unit == LengthUnit::metre) {
            for (const double step : metric) {
                PaperScale scale = try_scale(10.0 * step * power);
                if (scale.denominator > 0.0) return scale;
            }
        } else {
            for (const double feet : feet_to_the_inch) {
                PaperScale scale = try_scale(12.0 * feet * power);
                if (scale.denominator > 0.0) return scale;
            }
        }
    }
    return {};
}

}  // namespace sondeline
