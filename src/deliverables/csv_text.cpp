#include "deliverables/csv_text.hpp"

#include <fmt/format.h>

namespace sondeline {

namespace {

struct CellText {
    std::string operator()(std::monostate) const { return ""; }
    std::string operator()(const std::string& text) const { return csv_field(text); }
    std::string operator()(double value) const { return fmt::format("{}", value); }
    std::string operator()(std::int64_t value) const { return fmt::format("{}", value); }
    std::string operator()(bool value) const { return value ? "yes" : "no"; }
};

}  // namespace

std::string csv_field(std::string_view text) {
    std::string field;
    const auto begins_with_one_of = [&](std::string_view these) {
        return !text.empty() && these.find(text.front()) != std::string_view::npos;
    };
    const bool signed_number = begins_with_one_of("+-") && parse_number(text);
    if (begins_with_one_of("=+-@\t\r") && !signed_number) field = "'";
    field += text;
    if (field.find_first_of("\",\r\n") == std::string::npos) return field;
    std::string quoted = "\"";
    for (const char c : field) {
        quoted += c;
        if (c == '"') quoted += c;
    }
    return quoted + "\"";
}

std::string layer_csv(const LayerTable& layer) {
    std::string text;
    for (const Column& column : layer.columns) {
        text += (text.empty() ? "" : ",") + csv_field(column.name);
    }
    text += "\n";
    for (const LayerRow& row : layer.rows) {
        std::string line;
        for (std::size_t i = 0; i < row.cells.size(); ++i) {
            if (i > 0) line += ",";
            line += std::visit(CellText{}, row.cells[i]);
        }
        text += line + "\n";
    }
    return text;
}

}  // namespace sondeline
