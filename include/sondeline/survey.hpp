// Survey: a Job and its tracks become one site in one local metric frame: structures with their
// positions and elevations, every fix at its station, every run with its pushed length.
#pragma once

#include <map>

#include "sondeline/footage.hpp"
#include "sondeline/intake.hpp"

namespace sondeline {

// Metres east and north (grid) of an origin near the site. `map_from_local` and the
// survey's MapProjection are the only places that know axis order and units of the map's system.
struct LocalFrame {
    std::string crs = "local";  // "EPSG:32617" or "local"
    std::string crs_name;       // "WGS 84 / UTM zone 17N"; empty when local
    double origin_x = 0.0;      // map coordinates of the origin, in map units
    double origin_y = 0.0;
    double metres_per_map_unit = 1.0;
    double scale_factor = 1.0;      // map distance per ground distance at the site, combined
    double convergence_rad = 0.0;   // grid heading = true heading − convergence
    std::string coordinate_source;  // "positions with lon/lat", "local coordinates", "none"
};

struct MapPoint {
    double x = 0.0;  // map units: easting or, for a geographic crs, longitude
    double y = 0.0;
};

struct PlanPoint {
    double e_m = 0.0;  // in the local frame
    double n_m = 0.0;
};

MapPoint map_from_local(const LocalFrame& frame, PlanPoint point);

struct PlanFix {
    PlanPoint at;
    PlanCovariance cov;
};

// What z means in every layer (deliverables: `z_reference`).
enum class ZReference { elevation, benchmark, below_ground, assumed_level_ground, none };
std::string_view word(ZReference reference);  // "elevation", "benchmark", "below ground", …

// A receiver whose positions share an unknown error, the same for all of them.
struct SiteReceiver {
    std::string name;          // empty when the tables name none
    double offset_sd_m = 0.0;  // of each plan coordinate
};

struct SiteStructure {
    StructureId id;
    StructureKind kind = StructureKind::other;
    std::optional<PlanFix> surveyed;   // empty: an unknown held by the runs that meet there
    std::string how_fixed;             // "GNSS", "swing ties from A, B", "not surveyed"
    std::optional<int> receiver;       // index into Site::receivers
    std::optional<Estimate> ground_m;  // elevation
    std::string ground_source;         // "levelled", "given", "terrain", or empty
};

// A swing tie kept as an observation (all of a structure's ties, whether or not they fixed it).
struct TieObservation {
    int point = -1;  // index into Site::structures
    int reference = -1;
    Estimate distance_m;
    std::string name;  // "tie box from corner A"
};

enum class VerticalKind {
    sonde_depth,  // ground to transmitter centre
    probe_depth,  // ground to top of pipe
    open_depth,   // ground to invert, pipe exposed
    taped_start,  // ground to invert in the start structure
    taped_end,
    still_water,  // invert equal at both ends of a stretch of standing water
    level_log     // fall of the invert over a stretch by the camera's own level, sign as shown
};

// True for what was measured from the ground down to the pipe.
constexpr bool is_depth(VerticalKind kind) {
    return kind != VerticalKind::still_water && kind != VerticalKind::level_log;
}

// Depth of standing water at a nominal station, as a share of the inside diameter.
struct SeenWaterDepth {
    double x_m = 0.0;
    Estimate share;
};

// Standing water as the footage shows it.
struct SeenWater {
    double from_sd_m = 0.0;  // of its ends along the pipe
    double to_sd_m = 0.0;
    bool from_seen = false;  // its shore; else the water reaches back from there
    bool to_seen = false;
    bool deepest_unseen = false;  // how deep it is at most was not seen, or not surely enough
    std::vector<SeenWaterDepth> depths;
};

// A part of a run that the footage looked along for standing water, by nominal stations.
struct LookedAlong {
    double from_x_m = 0.0;
    double to_x_m = 0.0;
    std::optional<double> sure_share;  // see WaterReach
    bool left_open = false;
};

// One row of the vertical adjustment, placed by station.
struct VerticalObservation {
    VerticalKind kind = VerticalKind::sonde_depth;
    double x_m = 0.0;                  // nominal station: counter metres from the start structure
    double to_x_m = 0.0;               // still_water, level_log: far end
    Estimate depth_m;                  // down from ground; still_water: 0; level_log: the fall
    std::optional<Estimate> ground_m;  // elevation; empty when not known
    int fix = -1;                      // index into Site::fixes, or -1
    std::string source;                // "fix F3", "taped at box", "note at 8.2 m"
    std::optional<SeenWater> water;    // still_water from the footage only
    int log = -1;                      // level_log: those of one number share the level's zero
};

// Where the head was about a moment of the clock, should the clocks of receiver and camera differ:
// x_m[i] is the nominal station for a camera clock that is ahead by (i − (size − 1)/2)·step_s.
// Empty where no counter was read then.
struct ClockCourse {
    double step_s = 2.0;
    std::vector<std::optional<double>> x_m;
};

enum class FixPlacing { by_counter, by_video_time, by_clock, by_hold, unplaced };
std::string_view word(FixPlacing placing);

// The station of a fix is read off the counter to about this: common practice, no source.
inline constexpr double station_reading_sd_m = 0.04;

struct SiteFix {
    std::string id;
    int run = -1;  // index into Site::runs; -1: run not known
    FixPlacing placing = FixPlacing::unplaced;
    double x_m = 0.0;  // nominal station of the transmitter, setback taken off
    // Of the station: the reading, and how far the head moves within the doubt about the time.
    double station_sd_m = station_reading_sd_m;
    ClockCourse clock_course;  // of fixes given by clock
    std::optional<PlanFix> position;
    std::optional<int> receiver;          // index into Site::receivers
    double h_sd_stated_m = 0.15;          // groups fixes for the check of stated accuracies
    std::optional<AxialHeading> heading;  // grid
    double heading_sd_rad = 0.0;
    std::optional<Estimate> depth_m;
    std::optional<Estimate> ground_m;
    FixMethod method = FixMethod::sonde;
    std::string why_unplaced;
    SourceCell source;
};

// The depth of a fix as a row of the vertical adjustment; `index` is its own in Site::fixes. Empty
// without a depth or a station.
std::optional<VerticalObservation> depth_row(const SiteFix& fix, int index);

// Something noted along a run, placed by station.
struct SiteNote {
    int note = -1;  // index into Job::notes
    int run = -1;
    double x_m = 0.0;
    std::optional<double> to_x_m;
};

// Where a run probably bends: a fitting that was noted, or a place where the picture of the footage
// turns suddenly.
struct LikelyBend {
    double x_m = 0.0;
    double sd_m = 0.15;
    double probability = 0.5;  // that there is a bend
    bool noted = true;         // false: seen in the footage alone
};

struct SiteRun {
    RunId id;
    RunKind kind = RunKind::other;
    std::string kind_doubt;  // what at its ends or of its pipe contradicts the kind; empty: nothing
    RunStatus status = RunStatus::open;
    std::optional<int> from;  // index into Site::structures
    std::optional<int> to;
    std::optional<double> diameter_m;  // inside or nominal
    std::string material;
    std::string reel;
    // Counter metres from the start structure to the furthest reading, before any reel scale.
    Figure<double> counter_length_m;
    // The push or its footage ends before the pipe does: all that is measured is of the part
    // pushed, and `to` lies somewhere beyond.
    bool stops_short = false;
    // A structure, a note, a cap or the way back tells that the pipe ends where its footage does.
    bool end_told = true;
    double tick_m = 0.03048;  // one step of the counter
    // Pipe metres per counter metre by the joints seen and the typed length of the sticks.
    std::optional<Estimate> scale_by_sticks;
    bool start_assumed = false;  // what the counter showed at the start is in doubt
    double start_doubt_m = 0.0;  // how far after the start the footage begins, if elsewhere
    std::optional<DirectedHeading> start_heading;  // grid
    double start_heading_sd_rad = 0.0;
    std::vector<LikelyBend> likely_bends;  // by station
    std::vector<VerticalObservation> vertical;
    std::optional<double> sonde_height_m;           // transmitter centre above invert
    Figure<std::vector<LookedAlong>> looked_along;  // withheld: no place of the footage is known
};

struct Site {
    LocalFrame frame;
    ZReference z_reference = ZReference::none;
    LengthUnit job_unit = LengthUnit::foot;  // of reports
    std::vector<SiteStructure> structures;
    std::vector<SiteRun> runs;   // same order as Job::runs
    std::vector<SiteFix> fixes;  // same order as Job::fixes
    std::vector<SiteNote> notes;
    std::vector<TieObservation> ties;
    std::optional<double> level_closure_m;  // of the loop of levels that closes worst
    std::vector<SiteReceiver> receivers;    // those without a known point to count from
    Findings findings;
};

using RunTracks = std::map<RunId, JoinedTrack>;

// Never throws for bad data. Runs without a track keep a withheld length.
Site survey_site(const Job& job, const RunTracks& tracks);

}  // namespace sondeline
