// The drawings of the page, as SVG.
#pragma once

#include <string>

#include "sondeline/deliverables.hpp"

namespace sondeline {

// The site from above: runs with their error bands, structures, fixes, bellies, notes, north arrow,
// scale bar. Empty when nothing has a place.
std::string plan_svg(const AsBuilt& as_built);

// One run from the side: ground, invert with its 95 % band, ponding, observed inverts. The vertical
// exaggeration is stated. Empty when the run has no depths.
std::string profile_svg(const AsBuilt& as_built, std::size_t run);

// A round step (1, 2 or 5 times a power of ten) so that about `wanted` steps make `span`.
double round_step(double span, double wanted);

}  // namespace sondeline
