#include <fmt/format.h>

#include "deliverables/layers.hpp"

namespace sondeline {

namespace {

std::string_view unit_words(CounterUnit unit) {
    switch (unit) {
        case CounterUnit::unknown: return "";
        case CounterUnit::metre: return "m";
        case CounterUnit::foot: return "ft";
        case CounterUnit::feet_and_inches: return "ft and in";
    }
    return "";
}

}  // namespace

LayerTable footage_layer(const AsBuilt& as_built) {
    using enum ColumnType;
    LayerTable table{"footage",
                     "The clips that were read, and how",
                     LayerGeometry::none,
                     {{"file", text, "Clip"},
                      {"sha256", text, "SHA-256 of its bytes"},
                      {"bytes", integer, "Size of the file"},
                      {"container", text, "File format"},
                      {"codec", text, "Video codec"},
                      {"width", integer, "Pixels across"},
                      {"height", integer, "Pixels down"},
                      {"frames", integer, "Pictures decoded"},
                      {"frame_rate", real, "Pictures a second, by their time stamps"},
                      {"duration_s", real, "Last minus first time stamp, s"},
                      {"damaged", yes_no, "Cut off, or with errors"},
                      {"counter_format", text, "The counter as it stands in the picture"},
                      {"counter_unit", text, "Unit shown"},
                      {"overlay_box", text, "Where it stands: x, y, width, height in pixels"},
                      {"coverage_pct", real, "Share of the sampled frames with a sure reading"},
                      {"resets", integer, "Times the counter was set to another value"}},
                     {}};
    for (const Track& track : as_built.tracks) {
        const ClipDescription& clip = track.clip;
        LayerRow row;
        row.cells = {text_cell(clip.name),
                     text_cell(clip.sha256),
                     integer_cell(static_cast<std::int64_t>(clip.bytes)),
                     text_cell(clip.container),
                     text_cell(clip.codec),
                     integer_cell(clip.width),
                     integer_cell(clip.height),
                     integer_cell(clip.frames),
                     real_cell(clip.frame_rate, 3),
                     real_cell(clip.duration_s, 3),
                     CellValue{clip.damaged}};
        if (track.format) {
            const PixelBox& box = track.format->box;
            row.cells.push_back(text_cell(track.format->pattern));
            row.cells.push_back(text_cell(unit_words(track.format->unit)));
            row.cells.push_back(
                text_cell(fmt::format("{}, {}, {}, {}", box.x, box.y, box.width, box.height)));
        } else {
            row.cells.resize(row.cells.size() + 3);
        }
        row.cells.push_back(real_cell(100.0 * track.coverage, 1));
        row.cells.push_back(integer_cell(static_cast<std::int64_t>(track.zeroings.size())));
        table.rows.push_back(std::move(row));
    }
    return table;
}

}  // namespace sondeline
