// Invented pipes with known truth: a line in plan, a grade, sags. Geometry only; noise is added by
// whoever measures them.
#pragma once

#include <vector>

namespace sondeline::made {

struct PlaceInPipe {
    double e_m = 0.0;
    double n_m = 0.0;
    double invert_m = 0.0;
    double heading_rad = 0.0;  // clockwise from north
};

// At `station_m` the pipe turns right by `turn_rad`.
struct Turn {
    double station_m = 0.0;
    double turn_rad = 0.0;
};

// The invert hangs `depth_m` below the grade in the middle: ½(1 + cos) over `width_m`.
struct Sag {
    double middle_m = 0.0;
    double width_m = 0.0;
    double depth_m = 0.0;
};

struct InventedPipe {
    double start_e_m = 0.0;
    double start_n_m = 0.0;
    double start_invert_m = 0.0;
    double heading_rad = 0.0;
    double fall = 0.0;  // per length, in the direction of growing stations
    double length_m = 0.0;
    std::vector<Turn> turns;  // in order of station
    std::vector<Sag> sags;
};

PlaceInPipe place_at(const InventedPipe& pipe, double station_m);

// Depth of the water that would stand at a station of a pipe that drains towards its end: the
// lowest rim further down rules. Resolution 0.02 m.
std::vector<double> standing_water_m(const InventedPipe& pipe,
                                     const std::vector<double>& stations_m);

}  // namespace sondeline::made
