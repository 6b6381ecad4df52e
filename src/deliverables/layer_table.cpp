#include "deliverables/layer_table.hpp"

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

}  // namespace sondeline
