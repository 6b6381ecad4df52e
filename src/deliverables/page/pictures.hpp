// The drawings of the page, as SVG. Scales and ticks stand in groups of class "scale"; they are no
// figures of the map.
#pragma once

#include <string>

#include "deliverables/page/page_data.hpp"
#include "deliverables/page/plan_view.hpp"
#include "deliverables/page/run_motion.hpp"

namespace sondeline {

// The site from above: runs with their error bands, structures, fixes, bellies, notes, north arrow,
// scale bar. Empty when nothing has a place. `look` are further classes of the element.
std::string plan_svg(const PageData& page, const PlanView& view, std::string_view look = "");

// One run from the side: ground, invert with its 95 % band, ponding, observed inverts, the smallest
// sag these depths could have shown, drawn to scale. The vertical exaggeration is stated. Empty
// when the run has no depths.
std::string profile_svg(const PageData& page, std::size_t run);

// Distance over time: the path of the head with its stops, pull-backs and unread stretches, and the
// moment at which it was under each fix. Empty without a reading.
std::string motion_svg(const PageData& page, std::size_t run, const RunMotion& motion);

// A round step (1, 2 or 5 times a power of ten) so that about `wanted` steps make `span`.
double round_step(double span, double wanted);

}  // namespace sondeline
