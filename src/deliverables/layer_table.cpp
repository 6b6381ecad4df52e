#include "deliverables/layer_table.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include <fmt/format.h>

namespace sondeline {

namespace {

double rounded(double value, int decimals) {
    const double scaled = value * std::pow(10.0, decimals);
    // Figures beyond what can be multiplied have no decimals left to round.
    if (!std::isfinite(scaled)) return value;
    return std::round(scaled) / std::pow(10.0, decimals) + 0.0;
}

}  // namespace

CellValue real_cell(std::optional<double> value, int decimals) {
    if (!value || !std::isfinite(*value)) return std::monostate{};
    return rounded(*value, decimals);
}

CellValue part_cell(const std::optional<Bounded>& figure, double Bounded::*part, int decimals) {
    return real_cell(figure ? std::optional(*figure.*part) : std::nullopt, decimals);
}

CellValue text_cell(std::string_view value) {
    if (value.empty()) return std::monostate{};
    return std::string(value);
}

CellValue integer_cell(std::int64_t value) {
    return value;
}

const LayerTable& layer_named(std::span<const LayerTable> layers, std::string_view name) {
    const auto found = std::ranges::find(layers, name, &LayerTable::name);
    if (found == layers.end()) throw std::logic_error("no layer " + std::string(name));
    return *found;
}

const CellValue& cell_of(const LayerTable& layer, const LayerRow& row, std::string_view column) {
    const auto found = std::ranges::find(layer.columns, column, &Column::name);
    if (found == layer.columns.end()) throw std::logic_error("no column " + std::string(column));
    return row.cells.at(static_cast<std::size_t>(found - layer.columns.begin()));
}

std::optional<double> number_in(const LayerTable& layer, const LayerRow& row,
                                std::string_view column) {
    const CellValue& value = cell_of(layer, row, column);
    if (const auto* real = std::get_if<double>(&value)) return *real;
    if (const auto* count = std::get_if<std::int64_t>(&value)) return static_cast<double>(*count);
    return std::nullopt;
}

std::string text_in(const LayerTable& layer, const LayerRow& row, std::string_view column) {
    const auto* text = std::get_if<std::string>(&cell_of(layer, row, column));
    return text == nullptr ? std::string{} : *text;
}

std::string job_length_words(const LayerTable& layer, const LayerRow& row) {
    const auto length = number_in(layer, row, "length_job");
    const std::string symbol = text_in(layer, row, "job_unit");
    const auto unit = parse_length_unit(symbol);
    if (!length || !unit) return "";
    const double half_m = (number_in(layer, row, "length_hi95_m").value_or(0.0) -
                           number_in(layer, row, "length_lo95_m").value_or(0.0)) /
                          2.0;
    return fmt::format("{:.{}f} {}", *length, decimals_for_bounds(half_m / metres_per(*unit)),
                       symbol);
}

}  // namespace sondeline
