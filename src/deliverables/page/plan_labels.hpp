// Labels of the plan: where each stands, so that none lies on another or on what it names.
#pragma once

#include <string>

#include "deliverables/page/label_space.hpp"
#include "deliverables/page/page_data.hpp"
#include "deliverables/page/plan_view.hpp"

namespace sondeline {

// Room on the plan with every pipe, structure and fix already taken.
LabelSpace plan_space(const AsBuilt& as_built, const PlanView& view);

// Name, length and slope of every run, each beside its line, with a leader where it had to move.
std::string run_labels(const PageData& page, const PlanView& view, LabelSpace& space);

// Names of structures and of fixes set aside; numbers of notes.
std::string mark_labels(const PageData& page, const PlanView& view, LabelSpace& space);

}  // namespace sondeline
