// Where the light of the picture changes for good, as at a box, another material or a lining.
#pragma once

#include <span>
#include <vector>

namespace sondeline {

struct PlacedLight {
    double time_s = 0.0;
    double x_m = 0.0;    // continuous counter of the lens, in metres
    double light = 0.0;  // usual grey level
};

struct LightChange {
    double x_m = 0.0;
    double time_s = 0.0;
    double ratio = 1.0;  // light beyond it, by the counter, over light before
};

// The usual light over a metre beyond a place against that over a metre before it, where they
// differ by a quarter or more, and by far more than they do elsewhere along this pipe. By rising
// place; within a metre and a half only the greatest.
std::vector<LightChange> light_changes(std::vector<PlacedLight> lights);

}  // namespace sondeline
