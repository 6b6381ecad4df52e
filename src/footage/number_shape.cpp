#include "footage/number_shape.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace sondeline {

namespace {

void add_cell(LineStructure& structure, const NumberGrid& grid, double left_px) {
    structure.cell_left_px.push_back(static_cast<float>(left_px));
    structure.cell_width_px.push_back(static_cast<float>(grid.band.pitch_px));
}

// Cells of a moving number that hold parts of two characters in some layout, or lie behind its end
// where the unit moves, tell nothing there.
void look_away_between(LineStructure& structure, double pitch_px, bool bare_end) {
    for (WrittenLayout& layout : structure.shape.layouts) {
        double end_px = 0.0;
        const auto is_written = [&layout](std::size_t cell) {
            const CellRole::Kind kind = layout.cells[cell].kind;
            return kind != CellRole::Kind::other && kind != CellRole::Kind::no_digit &&
                   kind != CellRole::Kind::any;
        };
        const std::size_t cells = structure.cell_left_px.size();
        for (std::size_t i = 0; i < cells; ++i) {
            if (is_written(i)) end_px = std::max<double>(end_px, structure.cell_left_px[i]);
        }
        for (std::size_t i = 0; i < cells; ++i) {
            if (is_written(i)) continue;
            const bool behind = structure.cell_left_px[i] > end_px;
            bool overlaps = behind && !bare_end;
            for (std::size_t k = 0; k < cells; ++k) {
                const double apart =
                    std::abs(structure.cell_left_px[i] - structure.cell_left_px[k]);
                overlaps = overlaps || (is_written(k) && apart < 0.75 * pitch_px);
            }
            if (behind) layout.cells[i].kind = CellRole::Kind::no_digit;
            if (overlaps) layout.cells[i].kind = CellRole::Kind::any;
        }
    }
}

// The decimals of a left-anchored number share the cells of its whole places when the point is as
// wide as a digit.
bool point_takes_cell(const NumberGrid& grid) {
    return std::abs(grid.gap_px - grid.band.pitch_px) < 0.15 * grid.band.pitch_px;
}

void lay_inches(LineStructure& structure, const NumberGrid& grid, int places) {
    structure.shape = inch_cells(places, grid.padding, grid.inch_places);
    const bool left = grid.padding == Padding::left;
    const double pitch = grid.band.pitch_px;
    const int before = left ? 0 : places - grid.places;
    const auto lay_feet = [&](double aside_px) {
        for (int i = 0; i < places; ++i) {
            add_cell(structure, grid, grid.first_px + (i - before) * pitch + aside_px);
        }
    };
    const auto lay_behind = [&](double aside_px) {
        const int cells = left ? places + 1 : 2;
        for (int i = 0; i < cells; ++i) {
            const int pitches = left ? i + 1 : places + i - before;
            add_cell(structure, grid, grid.first_px + pitches * pitch + grid.gap_px + aside_px);
        }
    };
    lay_feet(0.0);
    lay_behind(0.0);
    if (grid.inch_places != InchPlaces::aside) return;
    // What is anchored stays: the inches at the right, or the feet at the left.
    if (left) {
        lay_behind(grid.aside_px);
    } else {
        lay_feet(-grid.aside_px);
    }
}

void lay_left(LineStructure& structure, const NumberGrid& grid, int places, bool sign_cell) {
    const bool shared = point_takes_cell(grid) || grid.decimals == 0;
    structure.shape = left_cells(places, grid.decimals, shared, sign_cell);
    const double pitch = grid.band.pitch_px;
    const int sign = sign_cell ? 1 : 0;
    const double start_px = grid.first_px - sign * pitch;
    const int characters = places + sign;
    for (int i = 0; i < characters; ++i) add_cell(structure, grid, start_px + i * pitch);
    for (int cell = characters; cell < structure.shape.cells; ++cell) {
        const double pitches = shared ? cell : cell - characters + 1 + sign;
        add_cell(structure, grid, start_px + pitches * pitch + (shared ? 0.0 : grid.gap_px));
    }
}

void lay_pushed(LineStructure& structure, const NumberGrid& grid) {
    structure.shape = pushed_cells(grid.places, grid.decimals);
    const double pitch = grid.band.pitch_px;
    for (int cell = 0; cell < structure.shape.cells; ++cell) {
        const bool behind = cell > grid.places;
        add_cell(structure, grid,
                 grid.first_px + (behind ? (cell - 1) * pitch + grid.gap_px : cell * pitch));
    }
}

void lay_part(LineStructure& structure, const NumberGrid& grid, int places) {
    structure.shape = part_cells(places, grid.decimals);
    for (int digits = 1; digits <= places; ++digits) {
        for (int i = 0; i < digits + grid.decimals; ++i) {
            add_cell(structure, grid, cell_left_px(grid, digits, i));
        }
    }
}

void lay_fixed(LineStructure& structure, const NumberGrid& grid, int places, bool sign_cell) {
    const bool zeros = grid.padding == Padding::zeros;
    const SignPlace sign = !zeros      ? SignPlace::before_first_digit
                           : sign_cell ? SignPlace::own_cell
                                       : SignPlace::none;
    structure.shape = fixed_cells(places, grid.decimals, grid.padding, sign);
    const double pitch = grid.band.pitch_px;
    const int before = places - grid.places + (sign == SignPlace::own_cell ? 1 : 0);
    for (int i = 0; i < structure.shape.cells; ++i) {
        const int digit = i - before;
        const double gap = digit >= grid.places ? grid.gap_px : 0.0;
        add_cell(structure, grid, grid.first_px + digit * pitch + gap);
    }
}

// What stands before the number was taken for a digit and is none: only a minus is looked for.
void look_away_from_sign(LineStructure& structure) {
    for (WrittenLayout& layout : structure.shape.layouts) {
        if (!layout.negative) layout.cells[0].kind = CellRole::Kind::any;
    }
}

int cells_needed(const NumberGrid& grid, int places, bool sign_cell) {
    const int sign = sign_cell ? 1 : 0;
    if (grid.minus_pushes) return places + 1 + (grid.decimals > 0 ? grid.decimals + 1 : 0);
    if (grid.padding == Padding::part) return places * (places + 1) / 2 + places * grid.decimals;
    const bool aside = grid.inches && grid.inch_places == InchPlaces::aside;
    if (grid.padding != Padding::left) {
        return sign + places + grid.decimals + (aside ? places : 0);
    }
    if (grid.inches) return places + (aside ? 2 : 1) * (places + 1);
    return point_takes_cell(grid) ? sign + places + 1 + grid.decimals
                                  : sign + 2 * places - 1 + grid.decimals;
}

}  // namespace

bool fits_cells(const NumberGrid& grid, bool sign_cell) {
    return cells_needed(grid, grid.places, sign_cell) <= most_line_cells;
}

LineStructure structure_of(const NumberGrid& seen, const LocatedLine& line, bool sign_cell) {
    if (!fits_cells(seen, sign_cell)) {
        throw std::length_error("structure_of: the number needs more cells than a line has");
    }
    NumberGrid grid = seen;
    // A single place is no padding; a minus or a second digit may yet come before it, or behind it
    // where the picture ends before it.
    if (grid.padding == Padding::zeros && grid.places == 1 && !sign_cell) {
        const bool room_before = grid.first_px >= grid.band.pitch_px;
        grid.padding = room_before ? Padding::blanks : Padding::left;
    }
    LineStructure structure;
    structure.line = line;
    structure.padding = grid.padding;
    structure.row_top_px = static_cast<float>(grid.band.top_px);
    structure.row_height_px = static_cast<float>(grid.band.height_px);
    int places = grid.places;
    if (grid.padding != Padding::zeros &&
        cells_needed(grid, places + 1, sign_cell) <= most_line_cells) {
        const bool room = grid.padding == Padding::left ||
                          (grid.first_px >= grid.band.pitch_px && !seen.sign_before);
        places += room ? 1 : 0;
    }
    if (grid.inches) {
        lay_inches(structure, grid, places);
    } else if (grid.minus_pushes) {
        lay_pushed(structure, grid);
    } else if (grid.padding == Padding::left) {
        lay_left(structure, grid, places, sign_cell);
    } else if (grid.padding == Padding::part) {
        lay_part(structure, grid, places);
    } else {
        lay_fixed(structure, grid, places, sign_cell);
    }
    const bool moves = grid.padding == Padding::left || grid.padding == Padding::part ||
                       grid.minus_pushes || (grid.inches && grid.inch_places == InchPlaces::aside);
    if (moves) look_away_between(structure, grid.band.pitch_px, grid.bare_end);
    if (seen.sign_before && sign_cell) look_away_from_sign(structure);
    CounterFormat& format = structure.format;
    format.integer_cells = grid.places;
    format.decimals = grid.inches ? 0 : grid.decimals;
    if (grid.inches) format.unit = CounterUnit::feet_and_inches;
    format.zero_padded = grid.padding == Padding::zeros && grid.places > 1;
    const auto [first, last] =
        std::minmax_element(structure.cell_left_px.begin(), structure.cell_left_px.end());
    format.box = {line.crop.x + static_cast<int>(std::floor(*first)),
                  line.crop.y + static_cast<int>(std::floor(grid.band.top_px)),
                  static_cast<int>(std::ceil(*last + grid.band.pitch_px - *first)),
                  static_cast<int>(std::ceil(grid.band.height_px))};
    return structure;
}

}  // namespace sondeline
