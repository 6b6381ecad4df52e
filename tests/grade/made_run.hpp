// Invented runs with known inverts, and depths taken along them with known errors.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "sondeline/grade.hpp"

namespace made {

inline constexpr double bore_m = 0.1016;

struct Sag {
    double depth_m = 0.0;
    double centre_m = 0.0;
    double width_m = 0.0;
};

struct Pipe {
    double length_m = 24.0;
    double start_invert_m = 99.0;
    double slope = 0.0125;  // fall per metre in the direction of the push
    double break_at_m = 0.0;
    double slope_change = 0.0;  // added from the break on
    std::vector<Sag> sags;
    double bedding_sd_m = 0.0;  // unevenness, correlated over 2.5 m
};

struct Survey {
    double spacing_m = 1.5;      // of the locator fixes; 0: none
    double depth_sd_m = 0.05;    // of each depth, as stated
    double error_factor = 1.0;   // true errors over stated ones
    double gross_share = 0.0;    // of the depths that are off by 20 to 50 cm besides
    double constant_sd_m = 0.0;  // of the locator, for the whole run
    double proportion_sd = 0.0;  // of the locator, for the whole run
    bool taped_start = false;
    bool taped_end = false;
    bool ground_known = true;
    double ground_sd_m = 0.004;
    // The camera's own level: the fall over each half metre, off by its zero and by how the head
    // lies; positive downhill unless turned.
    bool level = false;
    bool level_turned = false;
    double level_zero_sd = 0.01;
    double level_wobble_sd = 0.003;
};

// A locator with errors of its own for the whole run, and both inverts taped.
Survey locator_and_tapes(double spacing_m = 1.5);

// One building sewer of 4 in pipe, "R1", from a building to a tank, adjusted scale 1.
struct Run {
    sondeline::Lines lines;
    Pipe pipe;
    std::map<double, double> uneven_m;  // by station: the bedding where something was measured, and
                                        // each metre
    std::vector<std::string> gross;     // sources of the depths that are off besides
};
Run make_run(const Pipe& pipe, const Survey& survey, int seed);

double invert_m(const Pipe& pipe, double station_m);  // without bedding
// With it.
double bedded_invert_m(const Run& run, double station_m);
// From end to end, over the length, with bedding.
double bedded_slope(const Run& run);
double ground_m(double station_m);

// Of the first run.
sondeline::AlignedRun& run_of(sondeline::Lines& lines);

sondeline::GradeOptions levelled();  // heights above a benchmark

bool any_finding(const sondeline::Profiles& profiles, const std::string& words);

}  // namespace made
