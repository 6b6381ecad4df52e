// Depth of the invert below the ground: at one station, and the least and greatest of a run.
#pragma once

#include <string_view>

#include "sondeline/grade.hpp"

#include "grade/analysis.hpp"

namespace sondeline::grade {

// Bounds of a figure to which an independent error of `sd` is added.
Bounded widened(const Bounded& bounds, double sd);

// At a point whose station, invert and ground are filled in; `row` is its row in the samples. Empty
// when nothing says where the ground is.
std::optional<Bounded> cover_at_point(const Analysis& analysis, const ProfilePoint& point,
                                      Eigen::Index row);

struct CoverRange {
    Bounded least;
    Bounded greatest;
};

// Values are those of the points. The far bound of each is that of the extreme itself, wherever it
// lies, from joint draws of invert and ground; the near one is the closest that any single point
// allows, as no point may be less than the least. So no point's bounds reach past the range. `name`
// seeds the draws. Empty when no point has a cover.
std::optional<CoverRange> cover_range(const Analysis& analysis,
                                      const std::vector<ProfilePoint>& profile,
                                      std::string_view name);

}  // namespace sondeline::grade
