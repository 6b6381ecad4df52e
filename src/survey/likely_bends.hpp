// Where a run probably bends: the fittings noted along it, and the places where the picture of the
// footage turns suddenly.
#pragma once

#include "survey/reel_reading.hpp"

namespace sondeline {

// By station. Two turns seen close together are one place. A turn beside a noted fitting is one
// with it, noted: between the two by their accuracies, and likelier than either. Nothing seen is
// taken where the counter has no unit, and where the picture turns so often that it is the head
// that sways.
std::vector<LikelyBend> likely_bends(const std::vector<double>& noted_x_m, const ReelReading& reel);

}  // namespace sondeline
