#include "deliverables/map_styles.hpp"

#include <algorithm>
#include <array>

#include <fmt/format.h>

namespace sondeline {

namespace {

struct LineStyle {
    std::string_view layer;
    std::string_view rgba;
    double width_mm;
    std::string_view dash;   // QGIS pen style
    std::string_view label;  // an expression; empty: no labels
};

struct MarkStyle {
    std::string_view layer;
    std::string_view rgba;
    std::string_view shape;
    double size_mm;
    std::string_view label;
};

// Green and pink are the uniform colour code's colours of sewers and drains and of survey marks
// (APWA, ANSI Z535.1). Lightness, dash and shape differ along with hue, so that the map stays
// readable in black and white.
constexpr std::array<LineStyle, 4> line_styles{{
    {"pipe_runs", "0,113,61,255", 0.9, "solid",
     "\"run_id\" || coalesce('  ' || \"length_job\" || ' ' || \"job_unit\", '')"},
    {"bellies", "20,60,140,255", 2.2, "solid", "\"evidence\""},
    {"replacements", "161,19,42,255", 1.6, "dot", "\"why\""},
    {"stretches", "120,120,120,255", 0.3, "dash", ""},
}};

constexpr std::array<MarkStyle, 4> mark_styles{{
    {"structures", "0,113,61,255", "square", 3.4, "\"structure_id\""},
    {"fixes", "194,24,107,255", "cross", 2.4, "\"fix_id\""},
    {"stations", "194,24,107,255", "circle", 0.9, "\"station_job\""},
    {"observations", "91,74,0,255", "diamond", 2.6, "\"what\""},
}};

std::string labels(std::string_view expression) {
    if (expression.empty()) return "";
    std::string escaped;
    for (const char c : expression) {
        if (c == '"') {
            escaped += "&quot;";
        } else {
            escaped += c;
        }
    }
    return fmt::format(
        "<labeling type=\"simple\"><settings><text-style fieldName=\"{}\" isExpression=\"1\" "
        "fontSize=\"8\" textColor=\"30,30,30,255\"><text-buffer bufferDraw=\"1\" "
        "bufferSize=\"0.8\" bufferColor=\"255,255,255,255\"/></text-style></settings></labeling>",
        escaped);
}

std::string document(std::string_view symbol_type, std::string_view layer_class,
                     std::string_view options, std::string_view label) {
    return fmt::format(

        "<qgis version=\"3.22\" styleCategories=\"Symbology|Labeling\" labelsEnabled=\"{}\">"
        "<renderer-v2 type=\"singleSymbol\"><symbols><symbol type=\"{}\" name=\"0\" alpha=\"1\">"
        "<layer class=\"{}\" enabled=\"1\" locked=\"0\" pass=\"0\"><Option type=\"Map\">{}"
        "</Option></layer></symbol></symbols></renderer-v2>{}</qgis>",
        label.empty() ? 0 : 1, symbol_type, layer_class, options, labels(label));
}

std::string option(std::string_view name, std::string_view value) {
    return fmt::format("<Option type=\"QString\" name=\"{}\" value=\"{}\"/>", name, value);
}

}  // namespace

std::string map_style_qml(std::string_view layer) {
    const auto line = std::ranges::find(line_styles, layer, &LineStyle::layer);
    if (line != line_styles.end()) {
        return document("line", "SimpleLine",
                        option("line_color", line->rgba) + option("line_style", line->dash) +
                            option("line_width", fmt::format("{}", line->width_mm)) +
                            option("line_width_unit", "MM"),
                        line->label);
    }
    const auto mark = std::ranges::find(mark_styles, layer, &MarkStyle::layer);
    if (mark != mark_styles.end()) {
        return document("marker", "SimpleMarker",
                        option("color", mark->rgba) + option("name", mark->shape) +
                            option("outline_color", mark->rgba) +
                            option("size", fmt::format("{}", mark->size_mm)) +
                            option("size_unit", "MM"),
                        mark->label);
    }
    return "";
}

}  // namespace sondeline
