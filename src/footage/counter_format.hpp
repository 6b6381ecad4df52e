// How a counter writes its value into the cells of its line, and the way back: which values fit
// what the cells of one frame seem to show.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <vector>

namespace sondeline {

inline constexpr int most_line_cells = 14;

// What a cell may show: 0-9, a minus, or anything else (blank, point, letter, halves).
inline constexpr int cell_class_count = 12;
inline constexpr int minus_class = 10;
inline constexpr int other_class = 11;
inline constexpr int any_class = 12;  // of CellRole::Kind::any; has no evidence of its own

// One frame's evidence: -log probability of each class in each cell, times `cost_scale`, cut at
// 255.
inline constexpr int cost_scale = 16;
using CellCosts = std::array<std::array<std::uint8_t, cell_class_count>, most_line_cells>;

// What stands in a cell.
struct CellRole {
    enum class Kind : std::uint8_t {
        digit,      // (magnitude / unit) % 10
        inch_ones,  // (magnitude % 12) % 10
        inch_tens,  // (magnitude % 12) / 10
        minus,      // the sign, where one is written
        other,      // no digit and no sign
        no_digit,   // as `other`, behind the number's end: that it shows no digit proves nothing
        any,        // whatever: parts of characters that stand between cells, or the unit
    };
    Kind kind = Kind::other;
    std::int32_t unit = 1;  // ticks that one step of the digit is worth
};

// How the magnitudes from `least` to `most` (ticks) are written. Several layouts share a counter
// whose characters move: one for each number of digits, and one each with a minus.
struct WrittenLayout {
    bool negative = false;
    bool two_inch_digits = false;  // feet and inches only: 10 or 11 inches
    bool any_inches = true;        // false: holds only for one number of inch digits
    std::int64_t least = 0;
    std::int64_t most = 0;
    std::array<CellRole, most_line_cells> cells{};
};

// All the ways in which one counter writes.
struct CounterShape {
    int cells = 0;
    int decimals = 0;
    bool feet_and_inches = false;  // a tick is one inch
    std::vector<WrittenLayout> layouts;

    std::int64_t least() const;  // ticks, inclusive
    std::int64_t most() const;
};

enum class Padding : std::uint8_t {
    zeros,   // 0012.4: every place always shows a digit
    blanks,  // "  12.4": the digits keep their cells, unused places are empty
    left,    // "12.4": the first character keeps its cell, the rest move
    part,    // all characters move by part of a cell: blanks narrower than digits, or centred text
};

// Where the sign of a value below zero stands, if the counter can show one.
enum class SignPlace : std::uint8_t { none, own_cell, before_first_digit };

// A counter whose digits keep their cells. `sign_cell` is cell 0 for SignPlace::own_cell; for
// before_first_digit a minus takes the blank cell before the first digit (so with all places in
// use no minus can be shown). At least one digit stands before the point.
CounterShape fixed_cells(int integer_places, int decimals, Padding padding, SignPlace sign);

// A counter of which the first character keeps its place. Characters stand at the pitch from cell
// 0; the point takes a full cell when `point_takes_cell`, otherwise the digits after it stand in
// cells of their own: for k digits before the point, cell `integer_places + k - 1` and following.
// A minus takes the first cell and moves the digits on by one; with a `sign_cell` the first cell
// always holds a sign, and one more character stands before the point.
CounterShape left_cells(int integer_places, int decimals, bool point_takes_cell,
                        bool sign_cell = false);

// A zero-padded counter that a minus moves: it takes the first cell, and the digits move on by one.
// Cells of the digits before the point, one more than these, come first; then those of the
// decimals, one more than these as well.
CounterShape pushed_cells(int integer_places, int decimals);

// A counter that moves by part of a cell as it grows: the digits of a number with k places before
// the point stand in cells of their own, those of the shortest number first. A minus stands in the
// cell of the first digit of the next longer number.
CounterShape part_cells(int integer_places, int decimals);

// Feet and whole inches. The cells after those of the feet hold the inches: tens, then ones; with
// Padding::left two cells for each number of feet digits, k, beginning `k - 1` cells further on.
enum class InchPlaces {
    second,  // a single inch digit stands in the second of the two cells
    first,   // in the first
    // In the second, and beside two digits of inches the feet stand elsewhere (with Padding::left
    // the inches do): the last cells hold them, as many as those they stand for.
    aside,
};
CounterShape inch_cells(int feet_places, Padding padding, InchPlaces inch_places);

// The layout that writes `ticks`, or null when the counter cannot show it.
const WrittenLayout* layout_of(const CounterShape& shape, std::int64_t ticks);

// What a cell that may show anything costs: a little more than what it shows best, so that layouts
// that look away do not win by it.
int cost_of_class(const std::array<std::uint8_t, cell_class_count>& costs, int shown);

// The class that the cell shows when `ticks` is written in `layout`.
int class_in_cell(const CellRole& role, std::int64_t ticks);

// Sum of the costs of all cells when the counter shows `ticks`, each cell's cut at `most_per_cell`;
// every cell at the most when it cannot show it.
int cost_of_value(const CounterShape& shape, const CellCosts& costs, std::int64_t ticks,
                  int most_per_cell);

// Whether the digit in the cell is worth `least_unit` ticks or more and the same one step before
// and after `ticks`: not next to a carry into it. Inches never are.
bool keeps_its_digit(const CellRole& role, std::int64_t ticks, std::int64_t least_unit);

// cost_of_value where cells that keep their digit cost what they do in `kept`.
int cost_of_step(const CounterShape& shape, const CellCosts& costs, const CellCosts& kept,
                 std::int64_t ticks, std::int64_t least_unit, int most_per_cell);

// cost_of_value over the cells that hold digits of the value, leaving out blanks, points and signs.
int cost_of_digits(const CounterShape& shape, const CellCosts& costs, std::int64_t ticks,
                   int most_per_cell);

struct CostedValue {
    std::int64_t ticks = 0;
    int cost = 0;
};

// The `count` values (or fewer) of least cost, cheapest first; equal costs by value.
std::vector<CostedValue> cheapest_values(const CounterShape& shape, const CellCosts& costs,
                                         int most_per_cell, int count);

// "0012.4", "  9.9", `12' 6"`: as it stands in the picture, without unit.
std::string written(const CounterShape& shape, Padding padding, int integer_places,
                    std::int64_t ticks);

}  // namespace sondeline
