// The ground that rows are measured down from, and how it moves with a height that is doubted.
#pragma once

#include <cstddef>
#include <optional>

#include "grade/rows.hpp"

namespace sondeline::grade {

// The structure whose ground a taped invert counts from: an index into Lines::structures.
std::optional<int> structure_of(const Row& row, const SiteRun& run);

// Which known point of the ground holds a row's own ground; empty where another one, better and
// within 5 cm, stands for it.
std::optional<std::ptrdiff_t> ground_point_of(const Row& row, const GroundLine& line);

// Takes the rows without a ground of their own down from the known points as they now are.
void interpolate_ground(RunRows& run);

// Puts another ground under every taped invert of one structure: its row, the known point, and all
// that is interpolated from it. Nothing happens where the structure has no known ground.
void set_ground(int structure, const Estimate& ground_m, const SiteRun& site, RunRows& run);

}  // namespace sondeline::grade
