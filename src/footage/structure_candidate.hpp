// One layout of a line, with the sequence of values it gives on the crops of the search.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "footage/cell_grid.hpp"
#include "footage/counter_path.hpp"
#include "footage/line_cells.hpp"
#include "footage/unit_text.hpp"

namespace sondeline {

enum class FirstDigit;  // first_digit.hpp

// What no reel counter would do.
struct PathFaults {
    FirstDigit first_digit{};       // whether it belongs to the number
    bool last_digit_rests = false;  // the last digit stays while those before it change
    int jumps = 0;                  // that no zeroing explains
    bool leaves_out_digit = false;  // one more stands behind the last
    bool beyond_reels = false;      // values longer than any reel's rod
};

struct Candidate {
    NumberGrid grid;
    LineStructure structure;
    CounterPath path;
    // Of the crops it was decoded on: what the network sees, and what this says.
    std::vector<CellGlyphs> glyphs;
    std::vector<LineEvidence> evidence;
    PathFaults faults;
    double rank = 0.0;  // score of the path, what speaks for the point, less the faults
};

Candidate tried(const NumberGrid& grid, const LocatedLine& line,
                std::span<const LineCrop* const> crops, const GlyphNet& net);

// Whether anything speaks against the grid: it is hardly read, or not as a reel's counter.
bool has_fault(const Candidate& candidate);

// The same grid without the digit that makes the fault; none when there is no fault.
std::vector<NumberGrid> without_fault(const Candidate& candidate);

// The same number with one more place in front, in the ways in which a number can grow.
std::vector<NumberGrid> one_place_longer(const NumberGrid& grid);

// The same number with the minus that is seen where its first digit stands otherwise: it is padded
// with zeros, and the minus moves it on. None when no minus is seen there.
std::optional<NumberGrid> pushed_by_minus(const NumberGrid& grid, const LocatedLine& line,
                                          std::span<const LineCrop* const> crops,
                                          const GlyphNet& net);

// Lets the candidate's own sure glyphs teach how its digits look, as often as that is sound.
void adapt(Candidate& candidate, const GlyphNet& net);

// The crops it was decoded on that it read surely, or those that it did not.
std::vector<const LineCrop*> crops_read(const Candidate& candidate,
                                        std::span<const LineCrop* const> crops, bool surely);

// Where the number stands in crops that were read surely, for looking beside it.
std::vector<NumberSpan> sure_spans(const Candidate& candidate,
                                   std::span<const LineCrop* const> crops);

// Whether its values behave like a reel's counter, on the crops it was decoded on.
double counter_probability(const Candidate& candidate);

// What it says of the crops it was decoded on, which are some of `all`.
std::vector<SeenCrop> seen_crops(const Candidate& candidate, std::span<const LineCrop* const> crops,
                                 std::span<const LineCrop> all);

// Whether sure values change at all.
bool changes(const CounterPath& path);

// Whether there are sure values and nearly all lie below zero, the others at zero: a head is set to
// zero at the outlet, and stands before it for a short while only.
bool always_negative(const CounterPath& path);

// Takes the sign that is always there for a plus, or for a stroke that is no sign.
void read_sign_as_plus(Candidate& candidate);

// Whether the two give the same number wherever both are sure, and are sure together somewhere.
bool same_readings(const Candidate& a, const Candidate& b);

// The same of their digits, wherever their points stand.
bool same_ticks(const Candidate& a, const Candidate& b);

}  // namespace sondeline
