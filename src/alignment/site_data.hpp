// From a surveyed site to what the adjustment works on: nodes, reels, and the runs that fixes hold.
#pragma once

#include <string>

#include "sondeline/alignment.hpp"

#include "alignment/run_data.hpp"
#include "alignment/solve.hpp"

namespace sondeline::alignment {

struct Gaussian2 {
    Eigen::Vector2d mean_m = Eigen::Vector2d::Zero();
    Eigen::Matrix2d covariance_m2 = Eigen::Matrix2d::Identity();
};

// A position the adjustment knows or seeks: a structure, or the start of a run that names none.
struct Node {
    std::optional<int> structure = std::nullopt;
    std::optional<Gaussian2> surveyed = std::nullopt;
    std::optional<int> receiver = std::nullopt;  // that surveyed it, into NetworkData::receivers_m
    bool doubted = false;  // it had a position that the runs contradict (doubted_positions.hpp)
};

// A fix that takes no part, and why.
struct LeftOut {
    int fix = -1;
    FixUse use = FixUse::unplaced;
    std::optional<int> same_as;  // repeats this fix
    std::string why;
};

// What the sticks of a run without fixes say of its reel.
struct ReelSticks {
    int reel = 0;  // index into NetworkData::reels
    StickScale sticks;
};

struct NetworkData {
    std::vector<Node> nodes;
    std::vector<std::string> reels;
    std::vector<ReelSticks> reel_sticks;  // of the runs that are not in `runs`
    // Offsets to be found, one standard deviation each. Where every position comes from one
    // receiver nothing could tell its offset: then there is none here, and the whole site is off by
    // that.
    std::vector<double> receivers_m;
    std::optional<double> common_offset_m;
    bool shift_taken_off = false;  // of all fixes (fixes_apart.hpp); it is the common offset
    std::vector<RunData> runs;     // those with at least one fix
    std::vector<TieTerm> ties;
    std::vector<std::optional<int>> node_of_structure;  // as Site::structures
    std::vector<std::optional<int>> data_of_run;        // as Site::runs, into `runs`
    std::vector<int> reel_of_run;                       // as Site::runs
    std::vector<LeftOut> left_out;
    Findings findings;
};

NetworkData observed_on(const Site& site);

// Counter metres of a run when they are measured and believable: more than 5 cm, at most 500 m.
std::optional<double> measured_length_m(const SiteRun& run);

// In the adjustment's terms; empty for a run whose joints say nothing.
std::optional<StickScale> sticks_of(const SiteRun& run);

// How far the pipe may lie off the point that stands for a structure. Common practice, no source.
double port_sd_m(StructureKind kind);

// True when the structure's position was computed from its tapes, which then say nothing new.
bool fixed_by_tapes(const SiteStructure& structure);

}  // namespace sondeline::alignment
