#include <algorithm>
#include <fstream>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "deliverables/csv_text.hpp"
#include "deliverables/geopackage.hpp"
#include "deliverables/job_json.hpp"
#include "deliverables/layers.hpp"
#include "deliverables/publish_atomically.hpp"
#include "deliverables/report.hpp"

namespace sondeline {

namespace fs = std::filesystem;

namespace {

void write_text(const fs::path& file, const std::string& text) {
    std::ofstream out(file, std::ios::binary);
    out.write(text.data(), static_cast<std::streamsize>(text.size()));
    out.close();
    if (!out) {
        throw OutputError(fmt::format("{} could not be written: the disk may be full or read-only.",
                                      file.filename().string()));
    }
}

// Clips in push order of each run, then those that no run names, by the stem of their file.
struct ReadingsFile {
    std::string id;
    std::vector<Track> tracks;
};

std::vector<ReadingsFile> readings_files(const AsBuilt& as_built) {
    std::vector<ReadingsFile> files;
    std::vector<bool> used(as_built.tracks.size(), false);
    for (const Run& run : as_built.job.runs) {
        ReadingsFile file{run.id.text, {}};
        for (const std::string& name : run.footage) {
            for (std::size_t i = 0; i < as_built.tracks.size(); ++i) {
                if (as_built.job.footage[i].name != name) continue;
                file.tracks.push_back(as_built.tracks[i]);
                used[i] = true;
            }
        }
        if (!file.tracks.empty()) files.push_back(std::move(file));
    }
    for (std::size_t i = 0; i < used.size(); ++i) {
        if (used[i]) continue;
        const fs::path name(as_built.job.footage[i].name);
        files.push_back({name.stem().string(), {as_built.tracks[i]}});
    }
    return files;
}

void write_readings(const AsBuilt& as_built, const fs::path& folder) {
    const std::vector<ReadingsFile> files = readings_files(as_built);
    std::vector<std::string> ids;
    ids.reserve(files.size());
    for (const ReadingsFile& file : files) ids.push_back(file.id);
    const std::vector<std::string> stems = file_stems(ids);
    fs::create_directory(folder);
    for (std::size_t i = 0; i < files.size(); ++i) {
        write_text(folder / (stems[i] + ".csv"), readings_csv(files[i].tracks));
    }
}

// The job's own date, so that the same input gives the same bytes on any day.
std::string timestamp(const Job& job) {
    const std::string& date = job.settings.date;
    const bool plain = date.size() == 10 && date[4] == '-' && date[7] == '-';
    return (plain ? date : std::string("1970-01-01")) + "T00:00:00.000Z";
}

void write_set(const AsBuilt& as_built, const fs::path& folder) {
    const std::vector<LayerTable> layers = all_layers(as_built);
    write_geopackage(
        folder / "asbuilt.gpkg", as_built.site.frame, layers,
        {as_built.job.settings.site, lineage(as_built).dump(), timestamp(as_built.job)});
    const auto quantities = std::ranges::find(layers, "quantities", &LayerTable::name);
    write_text(folder / "quantities.csv", layer_csv(*quantities));
    write_readings(as_built, folder / "readings");
    const nlohmann::json data = job_data(as_built, layers);
    constexpr auto keep_going = nlohmann::json::error_handler_t::replace;
    write_text(folder / "job.json", data.dump(1, ' ', false, keep_going) + "\n");
    write_text(folder / "report.html", report_html(as_built));
}

}  // namespace

void write_deliverables(const AsBuilt& as_built, const fs::path& out) {
    try {
        publish_atomically(out, [&](const fs::path& folder) { write_set(as_built, folder); });
    } catch (const fs::filesystem_error& error) {
        throw OutputError(fmt::format("Nothing was written to {}: {}.", out.generic_string(),
                                      error.code().message()));
    }
}

}  // namespace sondeline
