// Alignment: all runs of a site in one least-squares adjustment, every run a line in plan with its
// covariance.
//
// Stations: `x_m` is nominal (counter metres from the start structure), `station_m` is the adjusted
// distance along the pipe, station = scale · (x − slack taken up at bends passed).
#pragma once

#include <Eigen/Core>

#include "sondeline/survey.hpp"

namespace sondeline {

enum class Placement {
    placed,                // held by two positions or a position and a direction
    direction_from_fixes,  // placed, but which way it is walked rests on the fixes' order alone
    inferred,              // between two known structures, no fix: no bounds
    shape_only,            // shape without a place on the map
    unplaced               // nothing but a length
};
std::string_view word(Placement placement);

struct LinePoint {
    double station_m = 0.0;
    double x_m = 0.0;
    PlanPoint at;
    double heading_rad = 0.0;  // grid, in the direction of the push
    PlanCovariance cov;
};

struct Bend {
    double station_m = 0.0;
    Estimate angle_rad;           // clockwise positive
    std::string nearest_fitting;  // "a 45° fitting", or empty when none lies alone within 2 sd
    bool noted = false;
    bool seen_turning = false;  // the picture of the footage turns there
};

// A vertical observation with its adjusted station(s).
struct StationedVertical {
    VerticalObservation row;
    double station_m = 0.0;
    double to_station_m = 0.0;
};

struct AlignedRun {
    SiteRun run;
    Placement placement = Placement::unplaced;
    Withheld why_not_placed;   // read when nothing is drawn
    Figure<Bounded> length_m;  // along the pipe, adjusted; of what was pushed
    // The push did not reach the far end of the run, as SiteRun says or its fixes show.
    bool stops_short = false;
    double length_sd_m = 0.0;
    Estimate scale;                 // adjusted metres per counter metre of this run
    std::vector<LinePoint> points;  // start to end, at most 0.5 m apart; empty when not drawn
    // Of (e0, n0, e1, n1, …) of `points`. Empty when not drawn or inferred; an inferred line has no
    // bounds, and LinePoint::cov is then not to be read.
    Eigen::MatrixXd covariance;
    double plan_length_m = 0.0;  // of the polyline in plan, on the ground
    std::vector<Bend> bends;
    std::vector<StationedVertical> vertical;
    int fixes_used = 0;
    int fixes_rejected = 0;
    std::string quality;  // one plain sentence or two
};

// Adjusted distance along the pipe of a nominal station.
double station_of_x(const AlignedRun& run, double x_m);

// Position, heading and spread at a station by interpolation; empty when the run is not drawn.
// Stations beyond either end take the end.
std::optional<LinePoint> point_at(const AlignedRun& run, double station_m);

// Half axes of the error ellipse of a position (one standard deviation; times ellipse_95 for 95 %
// of a two-dimensional normal distribution) and the direction of the long one:
// λ± = (σE² + σN²)/2 ± √(((σE² − σN²)/2)² + σEN²), t = ½·atan2(2σEN, σN² − σE²).
struct ErrorEllipse {
    double long_sd_m = 0.0;
    double short_sd_m = 0.0;
    AxialHeading long_axis;
};
ErrorEllipse error_ellipse(const PlanCovariance& cov);

inline constexpr double ellipse_95 = 2.447747;  // √(−2 ln 0.05)
inline constexpr double normal_95 = 1.959964;

enum class FixUse { used, rejected, unplaced };
std::string_view word(FixUse use);

struct FixResult {
    FixUse use = FixUse::unplaced;
    double station_m = 0.0;
    std::optional<double> across_m;     // residual, observed − adjusted, to the right of the push
    std::optional<double> along_m;      // forward of the push
    std::optional<double> heading_rad;  // observed − adjusted, in (−π/2, π/2]
    bool heading_rejected = false;
    double weight = 0.0;  // 0…1
    double outlier_probability = 0.0;
    std::string why;         // plain words: why rejected or unplaced, what it may be
    std::string what_to_do;  // of a rejected one
    // It was probably located over another run, and its depth is that run's: no vertical
    // observation of AlignedRun comes from it.
    bool of_another_run = false;
};

struct AlignedStructure {
    StructureId id;
    StructureKind kind = StructureKind::other;
    std::optional<PlanFix> plan;  // adjusted; empty: no position
    std::string how_fixed;        // "surveyed", "by the runs that meet there"…
};

struct ReelScale {
    std::string reel;
    Estimate scale;             // metres per counter metre
    bool told_by_data = false;  // its sd is clearly below the prior's
};

struct Lines {
    std::vector<AlignedRun> runs;              // same order as Site::runs
    std::vector<AlignedStructure> structures;  // same order as Site::structures
    std::vector<FixResult> fixes;              // same order as Site::fixes
    std::vector<ReelScale> reels;
    Findings findings;
};

// Fixes given by clock stand where the clock of the camera puts them. Where four or more on the
// runs of one reel show that its camera's clock differs from the receiver's, they are placed anew,
// with a finding; those that then have no place are reported. Fixes without a clock are not
// touched. Deterministic.
Site settle_clocks(Site site);

// Deterministic; no state. Never throws for bad data.
Lines align_site(const Site& site);

}  // namespace sondeline
