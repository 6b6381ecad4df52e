// What is written from a job's texts and figures, whatever they hold: job.json is JSON that gives
// them back, and no cell of the CSV files begins as a formula does.
#include "deliverables/job_json.hpp"

#include <cmath>

#include <fuzzer/FuzzedDataProvider.h>
#include <nlohmann/json.hpp>

#include "deliverables/csv_text.hpp"
#include "deliverables/page/html_text.hpp"
#include "fuzz/require.hpp"

namespace {

using namespace sondeline;

CellValue cell_from(FuzzedDataProvider& in) {
    switch (in.ConsumeIntegralInRange<int>(0, 4)) {
        case 0: return text_cell(in.ConsumeRandomLengthString());
        case 1:
            return real_cell(in.ConsumeFloatingPoint<double>(),
                             in.ConsumeIntegralInRange<int>(0, 8));
        case 2: return integer_cell(in.ConsumeIntegral<std::int64_t>());
        case 3: return in.ConsumeBool();
        default: return std::monostate{};
    }
}

LayerTable layer_from(FuzzedDataProvider& in) {
    LayerTable layer;
    layer.name = in.ConsumeRandomLengthString();
    layer.geometry = in.ConsumeBool() ? LayerGeometry::line_zm : LayerGeometry::none;
    for (const char* name : {"id", "what", "figure"}) layer.columns.push_back({name});
    while (in.remaining_bytes() > 0 && layer.rows.size() < 50) {
        LayerRow row;
        for (std::size_t i = 0; i < layer.columns.size(); ++i) row.cells.push_back(cell_from(in));
        if (layer.geometry != LayerGeometry::none) {
            row.geometry.push_back(
                {in.ConsumeFloatingPoint<double>(), 0.0, 0.0, in.ConsumeFloatingPoint<double>()});
        }
        layer.rows.push_back(std::move(row));
    }
    return layer;
}

// The first character of each field of RFC 4180; a quotation mark that is doubled is one.
void require_no_formula(const std::string& csv) {
    bool quoted = false;
    bool begins = true;
    for (std::size_t i = 0; i < csv.size(); ++i) {
        const char c = csv[i];
        const bool opens = begins && c == '"' && !quoted;
        if (c == '"') quoted = !quoted;
        if (begins && c != '"' && !(c == '\n' && !quoted) && c != ',') {
            require(c != '=' && c != '@' && c != '\t' && c != '\r');
        }
        begins = opens || (!quoted && (c == ',' || c == '\n'));
    }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    FuzzedDataProvider in(data, size);
    Job job;
    for (std::string* text : {&job.settings.site, &job.settings.date, &job.settings.prepared_by}) {
        *text = in.ConsumeRandomLengthString();
    }
    Lines lines;
    lines.runs.emplace_back().run.id.text = in.ConsumeRandomLengthString();
    Profiles profiles;
    profiles.runs.emplace_back().capacity_words = in.ConsumeRandomLengthString();
    const std::vector<LayerTable> layers{layer_from(in)};
    const std::vector<Track> tracks;
    const AsBuilt as_built{job, tracks, {}, {}, lines, profiles, {}, {}, "0"};

    const std::string text = job_json_text(as_built, layers);
    const nlohmann::json read = nlohmann::json::parse(text, nullptr, false);
    require(read.is_object());
    require(read.at("layers").size() == 1);
    require(read.at("layers").front().size() == layers.front().rows.size());
    for (std::size_t i = 0; i < layers.front().rows.size(); ++i) {
        const auto* real = std::get_if<double>(&layers.front().rows[i].cells[2]);
        if (real == nullptr) continue;
        require(std::isfinite(*real));
        require(read.at("layers").front()[i].at("figure").get<double>() == *real);
    }
    require_no_formula(layer_csv(layers.front()));
    require(escaped(job.settings.site).find_first_of("<>\"") == std::string::npos);
    return 0;
}
