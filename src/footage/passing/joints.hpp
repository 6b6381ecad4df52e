// Dark rings that several pictures show at one place, and whether they lie as far from each other
// as the joints of sticks of one length do.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "sondeline/footage.hpp"

#include "footage/passing/wall_rings.hpp"

namespace sondeline {

// A ring of one picture, placed.
struct PlacedRing {
    double x_m = 0.0;  // continuous counter of the wall it lies on, in metres
    WallRing ring;
};

struct Joint {
    double x_m = 0.0;
    double time_s = 0.0;  // of the picture that shows it best
    float dark = 0.0F;    // summed over pictures
};

// Rings within `near_m` of the darkest are one. Those too faint for all pictures together are left
// out, and those no darker than many others along this wall; by rising place.
std::vector<Joint> joints_of(std::vector<PlacedRing> rings, double near_m);

// Spacing in metres; `from` and `to` likewise. `place_sd_m` of a space between two joints. Each
// space is one stick, or up to four where joints in between were not seen, or anything: taken where
// this explains the spaces e⁸ times better than chance would. Empty when it does not, and when
// fewer than three spaces agree.
std::optional<JointRow> joint_row_of(std::span<const Joint> joints, double place_sd_m);

}  // namespace sondeline
