#include <fmt/format.h>

#include "deliverables/exchange/exchange.hpp"
#include "deliverables/exchange/wgs84.hpp"

namespace sondeline {

namespace {

// Green is the uniform colour code's colour of sewers and drains.
constexpr const char* pipe_style = "PEN(c:#00A651FF,w:4px)";
constexpr const char* unsure_style = "PEN(c:#7FD3A8FF,w:2px)";
constexpr const char* water_style = "PEN(c:#143C8CFF,w:7px)";
constexpr const char* mark_style = R"(SYMBOL(c:#00A651FF,s:1.0))";

struct Placemark {
    std::string name;
    std::string description;
    std::string altitude_mode;
    const char* style = nullptr;
    std::unique_ptr<OGRGeometry> geometry;
};

OGRLayer* new_folder(GDALDataset& dataset, const OGRSpatialReference& wgs84, const char* name,
                     bool visible) {
    const DriverOptions options(OptionList{{"VISIBILITY", visible ? "1" : "0"}});
    OGRSpatialReference srs(wgs84);
    OGRLayer* layer = dataset.CreateLayer(name, &srs, wkbUnknown, options.get());
    if (layer == nullptr) fail_output("asbuilt.kml.");
    for (const char* field : {"Name", "description", "altitudeMode"}) {
        add_field(*layer, {field, ColumnType::text, ""});
    }
    add_field(*layer, {"tessellate", ColumnType::yes_no, ""});
    add_field(*layer, {"visibility", ColumnType::yes_no, ""});
    return layer;
}

void write_placemark(OGRLayer& layer, Placemark placemark, bool visible) {
    OGRFeature feature(layer.GetLayerDefn());
    const bool clamped = placemark.altitude_mode == "clampToGround";
    feature.SetField("Name", placemark.name.c_str());
    feature.SetField("description", placemark.description.c_str());
    feature.SetField("altitudeMode", placemark.altitude_mode.c_str());
    // A clamped line follows the ground only when it is tessellated (KML 2.2, clause 10.7).
    feature.SetField("tessellate", clamped ? 1 : 0);
    feature.SetField("visibility", visible ? 1 : 0);
    feature.SetStyleString(placemark.style);
    feature.SetGeometryDirectly(placemark.geometry.release());
    write_feature(layer, feature);
}

std::string metres_and_bounds(const LayerTable& table, const LayerRow& row) {
    const auto length = number_in(table, row, "length_m");
    if (!length) return "length withheld";
    return fmt::format("{} along the pipe ({:.2f} m, 95 % bounds {:.2f} to {:.2f} m)",
                       job_length_words(table, row), *length,
                       number_in(table, row, "length_lo95_m").value_or(*length),
                       number_in(table, row, "length_hi95_m").value_or(*length));
}

std::string run_words(const LayerTable& table, const LayerRow& row) {
    std::string words = text_in(table, row, "kind") + ": " + metres_and_bounds(table, row) + ". ";
    const auto least = number_in(table, row, "min_depth_m");
    const auto most = number_in(table, row, "max_depth_m");
    words += least && most ? fmt::format("Ground to invert {:.2f} to {:.2f} m. ", *least, *most)
                           : "Depth not measured. ";
    return words + text_in(table, row, "quality") +
           " A map is no licence to dig: call the one-call centre and expose by hand.";
}

// The run at its depth, through its station marks; empty where a depth is missing.
std::unique_ptr<OGRGeometry> line_at_depth(const LayerTable& stations, const std::string& run_id,
                                           const Wgs84FromMap& wgs84) {
    std::vector<Vertex> vertices;
    std::vector<double> depths_m;
    for (const LayerRow& row : stations.rows) {
        if (text_in(stations, row, "run_id") != run_id) continue;
        const auto depth_m = number_in(stations, row, "depth_m");
        if (!depth_m || row.geometry.empty()) return nullptr;
        vertices.push_back(row.geometry.front());
        depths_m.push_back(*depth_m);
    }
    if (vertices.size() < 2) return nullptr;
    auto geometry = wgs84(LayerGeometry::line_zm, vertices);
    auto* line = geometry->toLineString();
    for (int i = 0; i < line->getNumPoints(); ++i) {
        line->setZ(i, -depths_m[static_cast<std::size_t>(i)]);
    }
    return geometry;
}

void write_runs(GDALDataset& dataset, std::span<const LayerTable> layers,
                const Wgs84FromMap& wgs84) {
    const LayerTable& runs = layer_named(layers, "pipe_runs");
    const LayerTable& stations = layer_named(layers, "stations");
    OGRLayer* drawn = new_folder(dataset, *wgs84.wgs84(), "Pipes, drawn on the ground", true);
    OGRLayer* deep = new_folder(dataset, *wgs84.wgs84(), "Pipes at their depth", false);
    for (const LayerRow& row : runs.rows) {
        const std::string id = text_in(runs, row, "run_id");
        const bool unsure = text_in(runs, row, "placement") == "inferred";
        const char* style = unsure ? unsure_style : pipe_style;
        const std::string words = run_words(runs, row);
        if (auto line = wgs84(runs.geometry, row.geometry)) {
            write_placemark(*drawn, {id, words, "clampToGround", style, std::move(line)}, true);
        }
        if (auto line = line_at_depth(stations, id, wgs84)) {
            write_placemark(*deep, {id, words, "relativeToGround", style, std::move(line)}, false);
        }
    }
}

void write_marks(GDALDataset& dataset, std::span<const LayerTable> layers,
                 const Wgs84FromMap& wgs84) {
    const LayerTable& structures = layer_named(layers, "structures");
    OGRLayer* marks = new_folder(dataset, *wgs84.wgs84(), "Structures", true);
    for (const LayerRow& row : structures.rows) {
        auto point = wgs84(structures.geometry, row.geometry);
        if (!point) continue;
        write_placemark(*marks,
                        {text_in(structures, row, "structure_id"), text_in(structures, row, "kind"),
                         "clampToGround", mark_style, std::move(point)},
                        true);
    }
    const LayerTable& bellies = layer_named(layers, "bellies");
    OGRLayer* water = new_folder(dataset, *wgs84.wgs84(), "Standing water", true);
    for (const LayerRow& row : bellies.rows) {
        auto line = wgs84(bellies.geometry, row.geometry);
        if (!line) continue;
        write_placemark(
            *water,
            {"standing water in " + text_in(bellies, row, "run_id"), text_in(bellies, row, "words"),
             "clampToGround", water_style, std::move(line)},
            true);
    }
}

}  // namespace

void write_kml(const std::filesystem::path& file, const LocalFrame& frame,
               std::span<const LayerTable> layers) {
    const QuietErrors quiet;
    const Wgs84FromMap wgs84(frame.crs);
    const Dataset dataset =
        create_dataset("LIBKML", file, DriverOptions(OptionList{{"NAME", "The pipes as found"}}));
    write_runs(*dataset, layers, wgs84);
    write_marks(*dataset, layers, wgs84);
}

}  // namespace sondeline
