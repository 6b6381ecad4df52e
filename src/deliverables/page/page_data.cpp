#include "deliverables/page/page_data.hpp"

#include <fmt/format.h>

#include "deliverables/page/html_text.hpp"
#include "terms/outward.hpp"

namespace sondeline {

namespace {

std::string marked(Markup markup, const std::string& from, double value, const std::string& shown) {
    const char* tag = markup == Markup::html ? "span" : "tspan";
    return fmt::format("<{0} data-from=\"{1}\" data-value=\"{2}\">{3}</{0}>", tag, escaped(from),
                       value, shown);
}

std::string address(const CellRef& ref) {
    return fmt::format("{}/{}/{}", ref.layer, ref.row + 1, ref.column);
}

}  // namespace

std::optional<double> PageData::number(const CellRef& ref) const {
    const LayerTable& table = layer(ref.layer);
    return number_in(table, table.rows.at(ref.row), ref.column);
}

std::string PageData::text(const CellRef& ref) const {
    const LayerTable& table = layer(ref.layer);
    return text_in(table, table.rows.at(ref.row), ref.column);
}

std::string PageData::words(const CellRef& ref) const {
    const std::string said = text(ref);
    if (said.empty()) return "";
    return fmt::format("<span data-from=\"{}\">{}</span>", escaped(address(ref)), escaped(said));
}

std::string PageData::figure(const CellRef& ref, int decimals, double per, Markup markup) const {
    const auto value = number(ref);
    if (!value) return "";
    return marked(markup, address(ref), *value, fmt::format("{:.{}f}", *value / per, decimals));
}

std::string PageData::lower_bound(const CellRef& ref, int decimals, double per,
                                  Markup markup) const {
    const auto value = number(ref);
    if (!value) return "";
    return marked(markup, address(ref), *value,
                  fmt::format("{:.{}f}", rounded_down(*value / per, decimals), decimals));
}

std::string PageData::upper_bound(const CellRef& ref, int decimals, double per,
                                  Markup markup) const {
    const auto value = number(ref);
    if (!value) return "";
    return marked(markup, address(ref), *value,
                  fmt::format("{:.{}f}", rounded_up(*value / per, decimals), decimals));
}

std::string PageData::length(const CellRef& ref, int decimals, Markup markup) const {
    const std::string shown = figure(ref, decimals, metres_per(unit()), markup);
    return shown.empty() ? "" : fmt::format("{} {}", shown, unit_symbol(unit()));
}

int PageData::length_decimals(std::string_view layer, std::size_t row,
                              const std::string& quantity) const {
    const auto lo = number({layer, row, quantity + "_lo95_m"});
    const auto hi = number({layer, row, quantity + "_hi95_m"});
    return lo && hi ? decimals_for_bounds((*hi - *lo) / 2.0 / metres_per(unit())) : 1;
}

std::string PageData::bounded_length(std::string_view layer, std::size_t row,
                                     const std::string& quantity) const {
    const int decimals = length_decimals(layer, row, quantity);
    const double per = metres_per(unit());
    return fmt::format("{} <span class=\"quiet bounds\">({} to {})</span>",
                       length({layer, row, quantity + "_m"}, decimals),
                       lower_bound({layer, row, quantity + "_lo95_m"}, decimals, per),
                       upper_bound({layer, row, quantity + "_hi95_m"}, decimals, per));
}

double PageData::sum_of(std::string_view name, std::string_view column) const {
    const LayerTable& table = layer(name);
    double sum = 0.0;
    for (const LayerRow& row : table.rows) sum += number_in(table, row, column).value_or(0.0);
    return sum;
}

int PageData::count_of(std::string_view name, std::string_view column) const {
    const LayerTable& table = layer(name);
    int count = 0;
    for (const LayerRow& row : table.rows) {
        count += std::holds_alternative<std::monostate>(cell_of(table, row, column)) ? 0 : 1;
    }
    return count;
}

int PageData::count_of(std::string_view name, std::string_view column,
                       std::string_view value) const {
    const LayerTable& table = layer(name);
    int count = 0;
    for (const LayerRow& row : table.rows) count += text_in(table, row, column) == value ? 1 : 0;
    return count;
}

std::string PageData::sum(std::string_view name, std::string_view column, int decimals) const {
    const double value = sum_of(name, column);
    return marked(Markup::html, fmt::format("sum/{}/{}", name, column), value,
                  fmt::format("{:.{}f}", value / metres_per(unit()), decimals));
}

std::string PageData::sum_of_lower(std::string_view name, std::string_view column,
                                   int decimals) const {
    const double value = sum_of(name, column);
    return marked(
        Markup::html, fmt::format("sum/{}/{}", name, column), value,
        fmt::format("{:.{}f}", rounded_down(value / metres_per(unit()), decimals), decimals));
}

std::string PageData::sum_of_upper(std::string_view name, std::string_view column,
                                   int decimals) const {
    const double value = sum_of(name, column);
    return marked(
        Markup::html, fmt::format("sum/{}/{}", name, column), value,
        fmt::format("{:.{}f}", rounded_up(value / metres_per(unit()), decimals), decimals));
}

std::string PageData::count(std::string_view name, std::string_view column) const {
    const int value = count_of(name, column);
    return marked(Markup::html, fmt::format("count/{}/{}", name, column), value,
                  fmt::format("{}", value));
}

std::string PageData::count(std::string_view name, std::string_view column,
                            std::string_view wanted) const {
    const int value = count_of(name, column, wanted);
    return marked(Markup::html, fmt::format("count/{}/{}/{}", name, column, wanted), value,
                  fmt::format("{}", value));
}

std::string plural(int count, std::string_view one, std::string_view many) {
    return std::string(count == 1 ? one : many);
}

}  // namespace sondeline
