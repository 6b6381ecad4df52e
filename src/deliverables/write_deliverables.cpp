#include <algorithm>
#include <fstream>
#include <functional>
#include <set>

#include <fmt/format.h>

#include "deliverables/csv_text.hpp"
#include "deliverables/exchange/exchange.hpp"
#include "deliverables/geopackage.hpp"
#include "deliverables/job_json.hpp"
#include "deliverables/layers.hpp"
#include "deliverables/paper_file.hpp"
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
    ids.reserve(4 * files.size());
    for (const ReadingsFile& file : files) ids.push_back(file.id);
    for (const ReadingsFile& file : files) ids.push_back(file.id + "_grade");
    for (const ReadingsFile& file : files) ids.push_back(file.id + "_water");
    for (const ReadingsFile& file : files) ids.push_back(file.id + "_marks");
    const std::vector<std::string> stems = file_stems(ids);
    fs::create_directory(folder);
    for (std::size_t i = 0; i < files.size(); ++i) {
        write_text(folder / (stems[i] + ".csv"), readings_csv(files[i].tracks));
        const std::string grade = grade_csv(files[i].tracks);
        if (!grade.empty()) write_text(folder / (stems[files.size() + i] + ".csv"), grade);
        const std::string water = water_csv(files[i].tracks);
        if (!water.empty()) write_text(folder / (stems[2 * files.size() + i] + ".csv"), water);
        const std::string marks = marks_csv(files[i].tracks);
        if (!marks.empty()) write_text(folder / (stems[3 * files.size() + i] + ".csv"), marks);
    }
}

// A folder for each clip that has pictures.
void write_evidence(const AsBuilt& as_built, const fs::path& folder) {
    const std::vector<std::string> folders = evidence_folders(as_built.job);
    for (std::size_t i = 0; i < as_built.tracks.size(); ++i) {
        for (const NamedPicture& named : named_evidence(as_built.tracks[i])) {
            fs::create_directories(folder / folders[i]);
            write_text(folder / folders[i] / named.name, named.picture->png);
        }
    }
}

// The job's own date, so that the same input gives the same bytes on any day.
std::string timestamp(const Job& job) {
    const std::string& date = job.settings.date;
    const bool plain = date.size() == 10 && date[4] == '-' && date[7] == '-';
    return (plain ? date : std::string("1970-01-01")) + "T00:00:00.000Z";
}

// Every file and folder the set may hold: what is not written this time must not stay from last
// time.
const std::set<std::string>& set_names() {
    static const std::set<std::string> names{
        "asbuilt.gpkg",   "asbuilt.geojson", "asbuilt.kml", "asbuilt.dxf", "job.json",
        "quantities.csv", "readings",        "report.html", "report.pdf",  "evidence"};
    return names;
}

bool has_places(std::span<const LayerTable> layers) {
    return std::ranges::any_of(layers, [](const LayerTable& layer) {
        return std::ranges::any_of(layer.rows,
                                   [](const LayerRow& row) { return !row.geometry.empty(); });
    });
}

void write_exchange(const Site& site, std::span<const LayerTable> layers, const fs::path& folder) {
    const LocalFrame& frame = site.frame;
    if (has_places(layers)) write_dxf(folder / "asbuilt.dxf", site, layers);
    if (frame.crs == "local") return;
    write_geojson(folder / "asbuilt.geojson", frame, layers);
    write_kml(folder / "asbuilt.kml", frame, layers);
}

void write_set(const AsBuilt& as_built, const fs::path& folder, const fs::path& out) {
    const std::vector<LayerTable> layers = all_layers(as_built);
    write_geopackage(folder / "asbuilt.gpkg", as_built.site.frame, layers,
                     {as_built.job.settings.site, lineage_text(as_built), timestamp(as_built.job)});
    write_exchange(as_built.site, layers, folder);
    write_text(folder / "quantities.csv", layer_csv(layer_named(layers, "quantities")));
    write_readings(as_built, folder / "readings");
    write_evidence(as_built, folder);
    write_text(folder / "job.json", job_json_text(as_built, layers));
    write_text(folder / "report.html", report_html(as_built, layers, out));
}

// Those of the stages and those of the writing, the worst first.
Findings with_own(Findings all, const Findings& own) {
    all.insert(all.end(), own.begin(), own.end());
    std::ranges::stable_sort(all, std::greater{}, &Finding::severity);
    return all;
}

}  // namespace

Findings write_deliverables(const AsBuilt& as_built, const fs::path& out,
                            const DeliverableOptions& options) {
    Findings own = exchange_findings(as_built.site.frame);
    Findings all;
    const AsBuilt full{as_built.job,    as_built.tracks,   as_built.run_tracks, as_built.site,
                       as_built.lines,  as_built.profiles, as_built.appraisal,  all,
                       as_built.version};
    try {
        publish_atomically(out, set_names(), [&](const fs::path& folder) {
            all = with_own(as_built.findings, own);
            if (!options.pdf_program.empty()) {
                // First, so that the other files can say that there is none.
                const Findings of_pdf =
                    make_pdf(options.pdf_program, report_for_paper(full, all_layers(full)),
                             folder / "report.pdf");
                own.insert(own.end(), of_pdf.begin(), of_pdf.end());
                all = with_own(as_built.findings, own);
            }
            write_set(full, folder, out);
        });
    } catch (const fs::filesystem_error& error) {
        throw OutputError(fmt::format("Nothing was written to {}: {}.", out.generic_string(),
                                      error.code().message()));
    }
    return own;
}

}  // namespace sondeline
