#include "deliverables/job_json.hpp"

#include <nlohmann/json.hpp>

#include "terms/units.hpp"

namespace sondeline {

using nlohmann::json;

namespace {

// Text of other encodings does not end the work.
constexpr auto keep_going = json::error_handler_t::replace;

struct CellJson {
    json operator()(std::monostate) const { return nullptr; }
    json operator()(const std::string& text) const { return text; }
    json operator()(double value) const { return value; }
    json operator()(std::int64_t value) const { return value; }
    json operator()(bool value) const { return value; }
};

json number(const CellValue& value) {
    return std::visit(CellJson{}, value);
}

json layer_json(const LayerTable& layer) {
    json rows = json::array();
    for (const LayerRow& row : layer.rows) {
        json object = json::object();
        for (std::size_t i = 0; i < row.cells.size(); ++i) {
            object[layer.columns[i].name] = std::visit(CellJson{}, row.cells[i]);
        }
        if (layer.geometry != LayerGeometry::none) {
            json geometry = json::array();
            for (const Vertex& vertex : row.geometry) {
                geometry.push_back({number(real_cell(vertex.x)), number(real_cell(vertex.y)),
                                    number(real_cell(vertex.z)), number(real_cell(vertex.m))});
            }
            object["geometry"] = std::move(geometry);
        }
        rows.push_back(std::move(object));
    }
    return rows;
}

json bends_json(const AlignedRun& run) {
    json bends = json::array();
    for (const Bend& bend : run.bends) {
        bends.push_back({{"station_m", number(real_cell(bend.station_m))},
                         {"angle_deg", number(real_cell(bend.angle_rad.value / degree_rad, 1))},
                         {"angle_sd_deg", number(real_cell(bend.angle_rad.sd / degree_rad, 1))},
                         {"nearest_fitting", bend.nearest_fitting},
                         {"noted", bend.noted},
                         {"seen_turning", bend.seen_turning}});
    }
    return bends;
}

json profile_json(const GradedRun& run) {
    json profile = json::array();
    for (const ProfilePoint& point : run.profile) {
        json row{{"station_m", number(real_cell(point.station_m))},
                 {"z_m", number(real_cell(point.z_m.value))},
                 {"z_lo95_m", number(real_cell(point.z_m.lo95))},
                 {"z_hi95_m", number(real_cell(point.z_m.hi95))},
                 {"ground_m", nullptr}};
        if (point.ground_m) row["ground_m"] = number(real_cell(point.ground_m->value));
        profile.push_back(std::move(row));
    }
    return profile;
}

json limits_json(const GradedRun& run) {
    json limits = json::array();
    for (const DetectionLimit& limit : run.limits) {
        limits.push_back({{"width_m", limit.width_m},
                          {"sag_m", number(real_cell(limit.sag_m))},
                          {"ponding_m", number(real_cell(limit.ponding_m))}});
    }
    return limits;
}

json water_limit_json(const FootageLimit& limit) {
    return {{"water_m", number(real_cell(limit.water_m))},
            {"share_of_diameter", number(real_cell(limit.water_share))},
            {"sure_pct", number(real_cell(100.0 * limit.sure, 1))},
            {"left_open_pct", number(real_cell(100.0 * limit.open, 1))},
            {"faint_pct", number(real_cell(100.0 * limit.faint, 1))},
            {"unseen_pct", number(real_cell(100.0 * limit.unseen, 1))}};
}

json runs_json(const AsBuilt& as_built) {
    json runs = json::array();
    for (std::size_t i = 0; i < as_built.lines.runs.size(); ++i) {
        const AlignedRun& aligned = as_built.lines.runs[i];
        const GradedRun& graded = as_built.profiles.runs[i];
        runs.push_back({{"id", aligned.run.id.text},
                        {"scale", number(real_cell(aligned.scale.value, 6))},
                        {"scale_sd", number(real_cell(aligned.scale.sd, 6))},
                        {"bends", bends_json(aligned)},
                        {"profile", profile_json(graded)},
                        {"smallest_sag", limits_json(graded)},
                        {"smallest_sag_words", graded.limit_words},
                        {"smallest_water", water_limit_json(graded.footage_limit)},
                        {"smallest_water_words", graded.footage_limit.words},
                        {"capacity_words", graded.capacity_words}});
    }
    return runs;
}

json site_json(const AsBuilt& as_built) {
    const JobSettings& settings = as_built.job.settings;
    return {{"name", settings.site},
            {"date", settings.date},
            {"prepared_by", settings.prepared_by},
            {"prepared_for", settings.prepared_for},
            {"length_unit", unit_symbol(as_built.site.job_unit)},
            {"vertical_datum", settings.vertical_datum},
            {"z_reference", word(as_built.site.z_reference)},
            {"level_closure_m", number(real_cell(as_built.site.level_closure_m))}};
}

json frame_json(const LocalFrame& frame) {
    return {{"crs", frame.crs},
            {"crs_name", frame.crs_name},
            {"scale_factor", number(real_cell(frame.scale_factor, 8))},
            {"convergence_deg", number(real_cell(frame.convergence_rad / degree_rad, 5))}};
}

json reels_json(const Lines& lines) {
    json reels = json::array();
    for (const ReelScale& reel : lines.reels) {
        reels.push_back({{"reel", reel.reel},
                         {"scale", number(real_cell(reel.scale.value, 6))},
                         {"scale_sd", number(real_cell(reel.scale.sd, 6))},
                         {"told_by_data", reel.told_by_data}});
    }
    return reels;
}

json load_test_json(const std::optional<LoadTestBalance>& balance) {
    if (!balance) return nullptr;
    json ports = json::array();
    for (const PortShare& port : balance->ports) {
        ports.push_back({{"port", port.port}, {"words", port.words}, {"share_pct", nullptr}});
        if (port.share_pct) {
            ports.back()["share_pct"] = {{"value", number(real_cell(port.share_pct->value, 1))},
                                         {"lo95", number(real_cell(port.share_pct->lo95, 1))},
                                         {"hi95", number(real_cell(port.share_pct->hi95, 1))}};
        }
    }
    return {{"words", balance->words}, {"ports", std::move(ports)}};
}

}  // namespace

json job_data(const AsBuilt& as_built, std::span<const LayerTable> layers) {
    json by_name = json::object();
    for (const LayerTable& layer : layers) by_name[layer.name] = layer_json(layer);
    return {{"schema", "sondeline-job/1"},
            {"version", as_built.version},
            {"site", site_json(as_built)},
            {"frame", frame_json(as_built.site.frame)},
            {"reels", reels_json(as_built.lines)},
            {"runs", runs_json(as_built)},
            {"load_test", load_test_json(as_built.appraisal.load_test)},
            {"layers", std::move(by_name)}};
}

std::string job_json_text(const AsBuilt& as_built, std::span<const LayerTable> layers) {
    return job_data(as_built, layers).dump(1, ' ', false, keep_going) + "\n";
}

std::string lineage_text(const AsBuilt& as_built) {
    json inputs = json::array();
    for (const InputFile& input : as_built.job.inputs) {
        inputs.push_back({{"file", input.name}, {"sha256", file_sha256(input.path)}});
    }
    for (const Track& track : as_built.tracks) {
        inputs.push_back({{"file", track.clip.name}, {"sha256", track.clip.sha256}});
    }
    const json lineage{{"made_by", "sondeline " + as_built.version}, {"inputs", std::move(inputs)}};
    return lineage.dump(-1, ' ', false, keep_going);
}

}  // namespace sondeline
