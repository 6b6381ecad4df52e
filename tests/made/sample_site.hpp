// The sample site: one invented old house, its tank, box and laterals. Everything that is true of
// it stands here; the tables and clips are drawn from it.
#pragma once

#include <string>
#include <vector>

#include "made/invented_pipe.hpp"
#include "support/scenario.hpp"

namespace sondeline::made {

struct SampleStructure {
    std::string id;
    std::string kind;
    double e_m = 0.0;  // ground metres east and north of the site's origin
    double n_m = 0.0;
    std::string capacity;
    std::string note;
};

struct SampleRun {
    std::string id;
    std::string clip;
    std::string kind;
    std::string from;
    std::string to;
    std::string status;
    std::string material;
    std::string title;  // shown in the picture
    InventedPipe pipe;
    double shown_at_start_ft = 0.0;  // what the counter shows with the lens at the structure
    bool zeroed_in_footage = false;  // shows 1.7 first, is then set to 0 at the structure
    std::vector<double> holds_ft;    // pushed distance by the counter, from the structure
    std::vector<double> roots_m;
    bool with_clock = false;
    bool capped = false;
    bool mpeg4 = false;
};

struct SampleSite {
    // UTM zone 15N, WGS 84, in farmland.
    double origin_e_m = 575400.0;
    double origin_n_m = 4561200.0;
    double reel_scale = 1.006;  // true length over counted length
    double setback_m = 0.1524;  // transmitter behind the lens
    double diameter_m = 0.1;
    std::vector<SampleStructure> structures;
    std::vector<SampleRun> runs;
};

SampleSite sample_site();

// Elevation of the ground, metres: the lawn falls away to the south-east.
double ground_m(double e_m, double n_m);

// How the clip of a run is shot.
support::Scenario scenario_of(const SampleSite& site, const SampleRun& run);

}  // namespace sondeline::made
