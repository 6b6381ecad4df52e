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
    int priority;            // of the labels, 0 to 10, where there is no room for all
};

struct MarkStyle {
    std::string_view layer;
    std::string_view rgba;
    std::string_view shape;
    double size_mm;
    std::string_view label;
    int priority;
    std::string_view shape_by;  // an expression for the shape, where rows differ; empty: all alike
};

// Green and pink are the uniform colour code's colours of sewers and drains and of survey marks
// (APWA, ANSI Z535.1). Lightness, dash and shape differ along with hue, so that the map stays
// readable in black and white.
constexpr std::array<LineStyle, 4> line_styles{{
    {"pipe_runs", "0,113,61,255", 0.9, "solid",
     "\"run_id\" || coalesce('  ' || \"length_job\" || ' ' || \"job_unit\", '')", 9},
    {"bellies", "20,60,140,255", 2.2, "solid", "'holds water (' || \"evidence\" || ')'", 7},
    {"replacements", "161,19,42,255", 1.6, "dot", "\"why\"", 5},
    {"stretches", "120,120,120,255", 0.3, "dash", "", 0},
}};

constexpr std::array<MarkStyle, 4> mark_styles{{
    {"structures", "0,113,61,255", "square", 3.4, "\"structure_id\"", 10,
     "if(\"kind\" = 'reference', 'triangle', 'square')"},
    {"fixes", "194,24,107,255", "cross", 2.8, "\"fix_id\"", 2,
     "if(\"used\" = 'used', 'cross', 'cross2')"},
    {"stations", "194,24,107,255", "circle", 0.9, "\"station_job\"", 0, ""},
    {"observations", "91,74,0,255", "diamond", 2.6, "\"what\"", 6, ""},
}};

std::string in_attribute(std::string_view expression) {
    std::string escaped;
    for (const char c : expression) {
        if (c == '"') {
            escaped += "&quot;";
        } else {
            escaped += c;
        }
    }
    return escaped;
}

// Beside marks, the best of several places; along lines, above them and upright.
std::string labels(std::string_view expression, bool of_line, int priority) {
    if (expression.empty()) return "";
    return fmt::format(
        "<labeling type=\"simple\"><settings><text-style fieldName=\"{}\" isExpression=\"1\" "
        "fontSize=\"8\" textColor=\"30,30,30,255\"><text-buffer bufferDraw=\"1\" "
        "bufferSize=\"0.8\" bufferColor=\"255,255,255,255\"/></text-style><placement "
        "placement=\"{}\" placementFlags=\"10\" offsetType=\"1\" dist=\"{}\" distUnits=\"MM\" "
        "priority=\"{}\"/></settings></labeling>",
        in_attribute(expression), of_line ? 2 : 6, of_line ? 1.0 : 0.8, priority);
}

// QgsProperty of type 3 is an expression.
std::string shaped_by(std::string_view expression) {
    if (expression.empty()) return "";
    return fmt::format(
        "<data_defined_properties><Option type=\"Map\"><Option name=\"properties\" type=\"Map\">"
        "<Option name=\"name\" type=\"Map\"><Option name=\"active\" type=\"bool\" value=\"true\"/>"
        "<Option name=\"expression\" type=\"QString\" value=\"{}\"/><Option name=\"type\" "
        "type=\"int\" value=\"3\"/></Option></Option></Option></data_defined_properties>",
        in_attribute(expression));
}

std::string document(std::string_view symbol_type, std::string_view layer_class,
                     std::string_view options, std::string_view shape, std::string_view label) {
    return fmt::format(
        "<qgis version=\"3.22\" styleCategories=\"Symbology|Labeling\" labelsEnabled=\"{}\">"
        "<renderer-v2 type=\"singleSymbol\"><symbols><symbol type=\"{}\" name=\"0\" alpha=\"1\">"
        "<layer class=\"{}\" enabled=\"1\" locked=\"0\" pass=\"0\"><Option type=\"Map\">{}"
        "</Option>{}</layer></symbol></symbols></renderer-v2>{}</qgis>",
        label.empty() ? 0 : 1, symbol_type, layer_class, options, shape, label);
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
                        "", labels(line->label, true, line->priority));
    }
    const auto mark = std::ranges::find(mark_styles, layer, &MarkStyle::layer);
    if (mark != mark_styles.end()) {
        return document("marker", "SimpleMarker",
                        option("color", mark->rgba) + option("name", mark->shape) +
                            option("outline_color", mark->rgba) + option("outline_width", "0.5") +
                            option("size", fmt::format("{}", mark->size_mm)) +
                            option("size_unit", "MM"),
                        shaped_by(mark->shape_by), labels(mark->label, false, mark->priority));
    }
    return "";
}

}  // namespace sondeline
