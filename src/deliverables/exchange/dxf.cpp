#include <algorithm>
#include <cmath>
#include <fstream>
#include <iterator>
#include <numbers>
#include <sstream>

#include <fmt/format.h>

#include "deliverables/exchange/exchange.hpp"
#include "deliverables/ogr_output.hpp"

namespace sondeline {

namespace {

// US National CAD Standard: discipline V (survey), major group SSWR (sanitary sewer), minor groups
// of four letters.
struct DrawingLayer {
    const char* name;
    int colour;  // AutoCAD colour index: 3 is green, 5 blue, 7 black or white
};
constexpr DrawingLayer pipe_layer{"V-SSWR-PIPE", 3};
constexpr DrawingLayer inferred_layer{"V-SSWR-PIPE-INFR", 3};
// Pipes whose invert nobody knows, drawn at zero.
constexpr DrawingLayer no_elevation_layer{"V-SSWR-PIPE-NOEL", 3};
constexpr DrawingLayer structure_layer{"V-SSWR-STRC", 3};
constexpr DrawingLayer water_layer{"V-SSWR-WATR", 5};
constexpr DrawingLayer name_layer{"V-SSWR-TEXT", 7};
constexpr DrawingLayer station_layer{"V-SSWR-TEXT-STAT", 7};
constexpr DrawingLayer invert_layer{"V-SSWR-TEXT-INVT", 7};
constexpr DrawingLayer drawing_layers[]{pipe_layer,      inferred_layer, no_elevation_layer,
                                        structure_layer, water_layer,    name_layer,
                                        station_layer,   invert_layer};

constexpr const char* block_name = "STRUCTURE";
constexpr double block_half_m = 0.25;
constexpr double text_height_m = 0.15;

// The drawing is in the unit of the map in all three directions.
struct Drawing {
    OGRLayer* blocks = nullptr;
    OGRLayer* entities = nullptr;
    double metres_per_unit = 1.0;

    double units(double metres) const { return metres / metres_per_unit; }
};

void add_entity(const Drawing& drawing, const DrawingLayer& layer,
                std::unique_ptr<OGRGeometry> geometry) {
    OGRFeature feature(drawing.entities->GetLayerDefn());
    feature.SetField("Layer", layer.name);
    feature.SetGeometryDirectly(geometry.release());
    write_feature(*drawing.entities, feature);
}

void add_line(const Drawing& drawing, const DrawingLayer& layer,
              const std::vector<Vertex>& vertices) {
    if (vertices.size() < 2) return;
    auto line = std::make_unique<OGRLineString>();
    for (const Vertex& vertex : vertices) {
        line->addPoint(vertex.x, vertex.y, drawing.units(vertex.z));
    }
    add_entity(drawing, layer, std::move(line));
}

std::unique_ptr<OGRPoint> point_of(const Drawing& drawing, const Vertex& vertex) {
    return std::make_unique<OGRPoint>(vertex.x, vertex.y, drawing.units(vertex.z));
}

// Quotes and backslashes would end the style string.
std::string label_text(std::string text) {
    std::ranges::replace(text, '"', '\'');
    std::ranges::replace(text, '\\', '/');
    return text;
}

struct Label {
    std::string text;
    double angle_deg = 0.0;  // anticlockwise from east
    int anchor = 1;          // lower left; 4 is middle left
};

void add_text(const Drawing& drawing, const DrawingLayer& layer, const Vertex& at,
              const Label& label) {
    OGRFeature feature(drawing.entities->GetLayerDefn());
    feature.SetField("Layer", layer.name);
    feature.SetGeometryDirectly(point_of(drawing, at).release());
    const std::string style =
        fmt::format("LABEL(f:\"Arial\",t:\"{}\",s:{:.4f}g,a:{:.1f},p:{})", label_text(label.text),
                    drawing.units(text_height_m), label.angle_deg, label.anchor);
    feature.SetStyleString(style.c_str());
    write_feature(*drawing.entities, feature);
}

void define_block(const Drawing& drawing) {
    const double half = drawing.units(block_half_m);
    auto outline = std::make_unique<OGRLineString>();
    for (const auto& [x, y] :
         {std::pair{-half, -half}, std::pair{half, -half}, std::pair{half, half},
          std::pair{-half, half}, std::pair{-half, -half}}) {
        outline->addPoint(x, y);
    }
    OGRFeature feature(drawing.blocks->GetLayerDefn());
    feature.SetField("Block", block_name);
    feature.SetField("Layer", "0");  // takes the layer of each insertion
    feature.SetGeometryDirectly(outline.release());
    write_feature(*drawing.blocks, feature);
}

void draw_structures(const Drawing& drawing, const LayerTable& structures) {
    for (const LayerRow& row : structures.rows) {
        if (row.geometry.empty()) continue;
        OGRFeature feature(drawing.entities->GetLayerDefn());
        feature.SetField("Layer", structure_layer.name);
        feature.SetField("BlockName", block_name);
        feature.SetGeometryDirectly(point_of(drawing, row.geometry.front()).release());
        write_feature(*drawing.entities, feature);
        Vertex beside = row.geometry.front();
        beside.x += drawing.units(2.0 * block_half_m);
        add_text(drawing, name_layer, beside, {text_in(structures, row, "structure_id"), 0.0, 4});
    }
}

void draw_runs(const Drawing& drawing, const LayerTable& runs) {
    for (const LayerRow& row : runs.rows) {
        if (row.geometry.empty()) continue;
        const bool inferred = text_in(runs, row, "placement") == "inferred";
        const bool flat = text_in(runs, row, "z_reference") == "none";
        add_line(drawing,
                 inferred ? inferred_layer
                 : flat   ? no_elevation_layer
                          : pipe_layer,
                 row.geometry);
        const std::string length = job_length_words(runs, row);
        const std::string words =
            text_in(runs, row, "run_id") + (length.empty() ? "" : " " + length);
        Vertex beside = row.geometry[row.geometry.size() / 2];
        beside.y -= drawing.units(3.0 * text_height_m);
        add_text(drawing, name_layer, beside, {words, 0.0, 1});
    }
}

// Square to the line from one mark to the next, so that texts do not lie on the pipe.
double angle_across_deg(const Vertex& here, const Vertex& next) {
    const double along = std::atan2(next.y - here.y, next.x - here.x);
    const double across = (along + std::numbers::pi / 2.0) * 180.0 / std::numbers::pi;
    return std::remainder(across, 180.0);
}

// What its inverts count from, as a person reads it: in the unit of the stations beside it,
// whatever that of the drawing.
std::string invert_words(const LayerTable& stations, const LayerRow& row, LengthUnit unit) {
    const auto invert_m = number_in(stations, row, "invert_m");
    if (!invert_m) return "invert not measured";
    return fmt::format(
        "{}invert {:.2f} {}",
        text_in(stations, row, "z_reference") == "below ground" ? "below ground, " : "",
        *invert_m / metres_per(unit), unit_symbol(unit));
}

void draw_stations(const Drawing& drawing, const LayerTable& stations, LengthUnit unit) {
    for (std::size_t i = 0; i < stations.rows.size(); ++i) {
        const LayerRow& row = stations.rows[i];
        if (row.geometry.empty()) continue;
        const auto same_run = [&](std::size_t other) {
            return other < stations.rows.size() && !stations.rows[other].geometry.empty() &&
                   text_in(stations, stations.rows[other], "run_id") ==
                       text_in(stations, row, "run_id");
        };
        const Vertex& here = row.geometry.front();
        double across_deg = 0.0;
        if (same_run(i + 1)) {
            across_deg = angle_across_deg(here, stations.rows[i + 1].geometry.front());
        } else if (i > 0 && same_run(i - 1)) {
            across_deg = angle_across_deg(stations.rows[i - 1].geometry.front(), here);
        }
        add_text(drawing, station_layer, here,
                 {fmt::format("  {:.1f} {}", *number_in(stations, row, "station_job"),
                              unit_symbol(unit)),
                  across_deg, 4});
        add_text(drawing, invert_layer, here,
                 {"           " + invert_words(stations, row, unit), across_deg, 4});
    }
}

// ---- what the driver has no option for --------------------------------------------------------

struct GroupCode {
    std::string code;
    std::string value;
};

std::vector<GroupCode> group_codes(const std::string& text) {
    std::vector<GroupCode> codes;
    std::istringstream in(text);
    GroupCode pair;
    while (std::getline(in, pair.code) && std::getline(in, pair.value)) codes.push_back(pair);
    return codes;
}

// DXF reference, HEADER: $INSUNITS 2 feet, 6 metres; $MEASUREMENT 0 English, 1 metric.
void set_units(std::vector<GroupCode>& codes, double metres_per_unit) {
    const bool metric = metres_per_unit == 1.0;
    for (std::size_t i = 0; i + 1 < codes.size(); ++i) {
        if (codes[i].value == "$INSUNITS") codes[i + 1].value = metric ? "     6" : "     2";
        if (codes[i].value == "$MEASUREMENT") codes[i + 1].value = metric ? "     1" : "     0";
    }
}

// The driver makes every new layer white; entities take the colour of their layer.
void set_layer_colours(std::vector<GroupCode>& codes) {
    for (std::size_t i = 0; i < codes.size(); ++i) {
        if (codes[i].value != "AcDbLayerTableRecord") continue;
        const DrawingLayer* layer = nullptr;
        for (std::size_t k = i + 1; k < codes.size() && std::stoi(codes[k].code) != 0; ++k) {
            const int code = std::stoi(codes[k].code);
            const auto known = std::ranges::find_if(drawing_layers, [&](const DrawingLayer& one) {
                return codes[k].value == one.name;
            });
            if (code == 2 && known != std::end(drawing_layers)) layer = &*known;
            if (code == 62 && layer != nullptr) codes[k].value = fmt::format("{:6}", layer->colour);
        }
    }
}

void finish(const std::filesystem::path& file, double metres_per_unit) {
    std::ostringstream text;
    text << std::ifstream(file, std::ios::binary).rdbuf();
    std::vector<GroupCode> codes = group_codes(text.str());
    set_units(codes, metres_per_unit);
    set_layer_colours(codes);
    std::ofstream out(file, std::ios::binary | std::ios::trunc);
    for (const GroupCode& pair : codes) out << pair.code << '\n' << pair.value << '\n';
    out.close();
    if (!out) fail_output("asbuilt.dxf.");
}

}  // namespace

void write_dxf(const std::filesystem::path& file, const Site& site,
               std::span<const LayerTable> layers) {
    const LocalFrame& frame = site.frame;
    const QuietErrors quiet;
    {
        const Dataset dataset = create_dataset("DXF", file, DriverOptions(OptionList{}));
        Drawing drawing;
        drawing.metres_per_unit = frame.metres_per_map_unit;
        drawing.blocks = dataset->CreateLayer("blocks", nullptr, wkbUnknown, nullptr);
        drawing.entities = dataset->CreateLayer("entities", nullptr, wkbUnknown, nullptr);
        if (drawing.blocks == nullptr || drawing.entities == nullptr) fail_output("asbuilt.dxf.");
        define_block(drawing);
        draw_runs(drawing, layer_named(layers, "pipe_runs"));
        for (const LayerRow& row : layer_named(layers, "bellies").rows) {
            add_line(drawing, water_layer, row.geometry);
        }
        draw_structures(drawing, layer_named(layers, "structures"));
        draw_stations(drawing, layer_named(layers, "stations"), site.job_unit);
    }
    finish(file, frame.metres_per_map_unit);
}

}  // namespace sondeline
