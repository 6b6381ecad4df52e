// Structures held by two tapes whose side was not said: the runs decide, or nobody does.
#pragma once

#include "alignment/network.hpp"

namespace sondeline::alignment {

// The two places at given distances from two references (circle–circle intersection):
//   x = (ℓ² + d₁² − d₂²)/2ℓ, h² = d₁² − x², P = R₁ + x·e ± h·n, n to the left of R₁→R₂.
// Empty when the circles do not meet, or meet so nearly at the baseline that both are one place.
struct TwoTapes {
    Eigen::Vector2d reference1_m;
    Eigen::Vector2d reference2_m;
    double distance1_m = 0.0;
    double distance2_m = 0.0;
    double sd_m = 0.01;
};
struct TwoPlaces {
    Eigen::Vector2d left_m;
    Eigen::Vector2d right_m;
    Eigen::Matrix2d left_covariance_m2;
    Eigen::Matrix2d right_covariance_m2;
};
std::optional<TwoPlaces> both_places(const TwoTapes& tapes);

// For each structure without position that two tapes hold: adjusts the job with either place and
// keeps the one whose cost is lower by more than 9; else drops the tapes and says so.
void settle_sides(const Site& site, NetworkData& data);

}  // namespace sondeline::alignment
