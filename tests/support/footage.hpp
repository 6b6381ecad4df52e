// Invented footage: a scenario becomes frames, and a clip with its truth beside it.
#pragma once

#include <functional>

#include "support/pipe_picture.hpp"

namespace sondeline::support {

// What a frame shows, for judging a reader; the product never sees it.
struct FrameTruth {
    long frame = 0;
    double time_s = 0.0;
    std::string shown;               // the counter as a plain number; empty when none can be seen
    std::string shown_second_field;  // of an interlaced frame; else empty
    double station_m = 0.0;
    double water_ratio = 0.0;  // depth over diameter at the lens
};

// Calls back for every frame in order, before encoding. The same scenario gives the same bytes.
void each_frame(const Scenario& scenario,
                const std::function<void(const Frame&, const FrameTruth&)>& take);

// Where the overlay's fields stand; throws std::invalid_argument as Overlay does.
std::vector<FieldBox> overlay_boxes(const Scenario& scenario);

// Writes `clip`, `<clip>.truth.csv` (a row per frame) and `<clip>.boxes.csv` (a row per field).
void make_footage(const Scenario& scenario, const std::filesystem::path& clip);

}  // namespace sondeline::support
