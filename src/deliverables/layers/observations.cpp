#include <cmath>

#include "deliverables/layers.hpp"
#include "deliverables/placing.hpp"

namespace sondeline {

namespace {

// Where in the footage a note can be seen.
struct FootagePlace {
    std::string clip;
    std::optional<double> time_s;
};

// The first sample whose pushed distance comes nearest to the note's counter.
FootagePlace seen_at(const AsBuilt& as_built, const Note& note) {
    const auto track = as_built.run_tracks.find(note.run);
    if (track == as_built.run_tracks.end() || track->second.clips.empty()) return {};
    const JoinedTrack& joined = track->second;
    if (note.video_time_s) return {joined.clips.front(), note.video_time_s->value};
    if (!note.counter) return {};
    const PushSample* nearest = nullptr;
    double least = 5.0 * joined.tick;
    for (const PushSample& sample : joined.samples) {
        if (!sample.sample.counter) continue;
        const double away = std::abs(*sample.sample.counter - note.counter->value);
        if (away < least) {
            least = away;
            nearest = &sample;
        }
    }
    if (nearest == nullptr) return {};
    return {joined.clips[static_cast<std::size_t>(nearest->clip)], nearest->sample.time_s};
}

}  // namespace

LayerTable observations_layer(const AsBuilt& as_built) {
    using enum ColumnType;
    LayerTable table{"observations",
                     "What was noted on the way, placed on the map; z is the invert, m the station",
                     LayerGeometry::point_zm,
                     {{"run_id", text, "Run"},
                      {"station_m", real, "Distance from the start along the pipe, m"},
                      {"to_station_m", real, "Far end, for something that stretches, m"},
                      {"category", text, "Kind of observation"},
                      {"what", text, "As noted"},
                      {"severity", text, "As noted"},
                      {"clip", text, "Footage file it can be seen in"},
                      {"time_s", real, "Seconds into that file"},
                      {"z_reference", text, "What z is; none: it is not known and written as 0"}},
                     {}};
    for (const SiteNote& placed : as_built.site.notes) {
        const Note& note = as_built.job.notes[static_cast<std::size_t>(placed.note)];
        const bool on_a_run = placed.run >= 0;
        const auto run = static_cast<std::size_t>(on_a_run ? placed.run : 0);
        std::optional<double> station_m, to_station_m;
        if (on_a_run) {
            station_m = station_of_x(as_built.lines.runs[run], placed.x_m);
            if (placed.to_x_m) {
                to_station_m = station_of_x(as_built.lines.runs[run], *placed.to_x_m);
            }
        }
        const FootagePlace place = seen_at(as_built, note);
        LayerRow row;
        row.cells = {text_cell(note.run.text),
                     real_cell(station_m),
                     real_cell(to_station_m),
                     text_cell(word(note.category)),
                     text_cell(note.what),
                     text_cell(note.severity),
                     text_cell(place.clip),
                     real_cell(place.time_s, 2),
                     text_cell(word(on_a_run ? z_reference_of(as_built.profiles.runs[run])
                                             : ZReference::none))};
        if (station_m) row.geometry = vertex_at(as_built, run, *station_m);
        table.rows.push_back(std::move(row));
    }
    return table;
}

}  // namespace sondeline
