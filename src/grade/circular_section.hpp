// Water in a round pipe: wetted area and its relatives by depth, and the volume over a length.
#pragma once

namespace sondeline::grade {

// The part of a round pipe's bore that is under water. With c = 1 − 2d/D and θ = 2 arccos c:
// area D²/8 (θ − sin θ), wetted perimeter Dθ/2, surface width D sin(θ/2).
struct WettedSection {
    double area_m2 = 0.0;
    double perimeter_m = 0.0;
    double hydraulic_radius_m = 0.0;  // area / perimeter; 0 when dry
    double surface_width_m = 0.0;
};

struct Bore {
    double diameter_m = 0.0;  // inside
};

// Depths below 0 are dry, depths above the diameter are full.
WettedSection wetted_section(Bore bore, double depth_m);

double full_area_m2(Bore bore);

// ∫₀^depth area(h) dh, cubic metres times metres per metre; for radius r, c = (r − h)/r and
// s = √(1 − c²) it is r³(s − c·arccos c − s³/3). Continued as 0 below the invert and linearly above
// the crown, so that a difference of two values is right wherever the water line cuts the pipe.
double area_integral_m3(Bore bore, double depth_m);

// Litres over a length along which the depth of water changes evenly from one end to the other.
// Negative depths are dry: the water's edge may lie within the length.
struct WaterPiece {
    double length_m = 0.0;
    double first_depth_m = 0.0;
    double last_depth_m = 0.0;
};
double volume_l(Bore bore, const WaterPiece& piece);

}  // namespace sondeline::grade
