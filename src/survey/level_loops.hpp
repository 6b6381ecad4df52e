// Loops of a level book, each with its own closure.
#pragma once

#include "survey/level_book.hpp"

namespace sondeline {

// A way through setups and points that comes back to where it began, or goes from one benchmark to
// another.
struct LevelLoop {
    std::vector<std::string> points;  // in order; first and last are one unless both are benchmarks
    int setups = 0;
    int readings = 0;
    int benchmarks = 0;  // 0: a closed loop; 2: a line between two
    // Backsights less foresights, in the direction in which most of it was levelled: a rise that
    // must come out nil (between benchmarks: less their difference).
    double closure_m = 0.0;
};

// As many loops as there are readings beyond those needed: each reading or benchmark that a tree of
// shortest ways from the first benchmark leaves over closes one with it (fundamental cycles of a
// breadth-first tree). Shortest ways make short loops, in which an error is easier to find. What no
// benchmark reaches has none.
std::vector<LevelLoop> level_loops(const LevelBook& book);

}  // namespace sondeline
