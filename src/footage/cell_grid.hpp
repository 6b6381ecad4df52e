// Where the digits of a number stand in a line of text: row band, pitch, first cell, place of the
// point, and whether the digits keep their cells as the number grows.
//
// Whole grids are tried on a spread of crops and judged by the glyph network: a right grid shows
// digits in all its cells, in every crop, and none beside them.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "footage/counter_format.hpp"
#include "footage/glyph_map.hpp"

namespace sondeline {

// A number as laid out in the crop. Digits before the point stand at the pitch from `first_px`;
// those behind it too, moved right by `gap_px` (the room of the point). With Padding::left a
// number of fewer digits starts at the same place and its decimals stand further left; with
// Padding::part it starts `lead_px` further right for each digit fewer.
struct NumberGrid {
    TextBand band;
    double first_px = 0.0;  // left edge of the first cell
    double gap_px = 0.0;
    double lead_px = 0.0;
    int places = 1;  // most digits before the point
    int decimals = 0;
    Padding padding = Padding::zeros;
    bool sign_before =
        false;  // a sign, or something else that never changes, before the first cell
    bool minus_pushes =
        false;  // a minus takes the first cell of a zero-padded number, which moves on
    // No unit moves with the number: a digit behind its end belongs to it, and it is a longer one.
    bool bare_end = false;
    // Feet and inches: the decimals are the two cells of the inches, the point is the prime.
    bool inches = false;
    InchPlaces inch_places = InchPlaces::second;
    double aside_px = 0.0;     // InchPlaces::aside: so much further apart are feet and ten inches
    double score = 0.0;        // mean over the crops of the sum of logits; higher is better
    double point_logit = 0.0;  // mean, that a point stands in the gap
};

// Left edge of the cell of digit `i` (0 is the first) of a number with `digits` before the point.
double cell_left_px(const NumberGrid& grid, int digits, int i);

// Whether the two would give the same values.
bool same_values(const NumberGrid& a, const NumberGrid& b);

// Grids seen in the map, best first, `most` and one that moves by part of a cell; each differs from
// the others in what value it would give.
std::vector<NumberGrid> grids_in(const GlyphMap& map, int most);

// The same grid moved and stretched a little until the network is surest of its digits.
NumberGrid refined(NumberGrid grid, std::span<const LineCrop* const> crops, const GlyphNet& net,
                   Strokes strokes);

}  // namespace sondeline
