#include "deliverables/layer_table.hpp"

#include <algorithm>
#include <cmath>

namespace sondeline {

namespace {

double rounded(double value, int decimals) {
    const double scale = std::pow(10.0, decimals);
    return std::round(value * scale) / scale + 0.0;
}

}  // namespace

CellValue real_cell(std::optional<double> value, int decimals) {
    if (!value || !std::isfinite(*value)) return std::monostate{};
    return rounded(*value, decimals);
}

CellValue text_cell(std::string_view value) {
    if (value.empty()) return std::monostate{};
    return std::string(value);
}

CellValue integer_cell(std::int64_t value) {
    return value;
}

int decimals_for_bounds(double half_width) {
    constexpr int most = 3;
    if (!(half_width > 0.0)) return most;
    return std::clamp(static_cast<int>(std::ceil(-std::log10(half_width))), 0, most);
}

double rounded_to_bounds(double value, double half_width) {
    return rounded(value, decimals_for_bounds(half_width));
}

}  // namespace sondeline
