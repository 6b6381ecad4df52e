// Where the picture turns suddenly, as when the head goes through a fitting.
#pragma once

#include <span>
#include <vector>

namespace sondeline {

// The far dark of the pipe in one picture, placed.
struct PlacedCentre {
    double time_s = 0.0;
    double x_m = 0.0;     // continuous counter of the lens, in metres
    double across = 0.0;  // of the vanishing point, over the picture's height
    double down = 0.0;
};

struct Turn {
    double x_m = 0.0;
    double time_s = 0.0;
};

// Between two looks that see the far dark, a short way apart, it has gone further than the head's
// own sway ever takes it; before, it drifted aside one way, and beyond it stays where it then is.
// Each turn is put where it comes back to that: on rendered footage 2 to 3 cm beyond the fitting's
// middle, 5 to 7 cm rms. Looks in time order; turns by rising place, one for each place.
std::vector<Turn> sudden_turns(std::span<const PlacedCentre> centres);

}  // namespace sondeline
