// Intake: a job folder becomes a Job, every value in SI and with the cell it came from.
#pragma once

#include <map>

#include "sondeline/terms.hpp"

namespace sondeline {

enum class NorthReference { true_north, grid, magnetic };

// Which sign the camera's own level shows where the head points downhill.
enum class InclinationSign { not_said, downhill_positive, downhill_negative };

// The table `job`, with its defaults filled in.
struct JobSettings {
    std::string site;  // default: name of the folder
    std::string date;  // "2026-05-14"; empty: not said
    std::string prepared_by;
    std::string prepared_for;
    std::string crs;                        // "EPSG:32617", "local", or empty: choose
    std::optional<LengthUnit> length_unit;  // empty: the unit read off the overlay
    std::string vertical_datum = "local";
    std::string ground_datum;  // of `ground` in the tables; empty: the vertical datum
    // One standard deviation of the error that all positions of a receiver share; empty: none.
    std::optional<double> receiver_offset_m;
    double utc_offset_s = 0.0;
    NorthReference north = NorthReference::true_north;
    std::optional<double> declination_rad;  // east positive
    double sonde_setback_m = 0.0;
    std::string reel;
    std::optional<double> sonde_height_m;  // empty: half the inside diameter
    bool level_ground = false;
    InclinationSign inclination_sign = InclinationSign::not_said;
    // What digging is priced by; empty: the usual practice (QuantityOptions).
    std::vector<double> depth_bands_m;        // limits, rising
    std::optional<double> trench_width_m;     // at the bottom
    std::optional<double> trench_side_slope;  // horizontal per vertical
    // What the system was designed to take, averaged over a day.
    std::optional<double> design_flow_m3_per_s;
};

enum class StructureKind {
    building,
    cleanout,
    tank,
    distribution_box,
    drop_box,
    junction,
    pump_chamber,
    seepage_pit,
    trench_end,
    reference,
    other
};
enum class RunKind { building_sewer, effluent_line, lateral, trench, other };
enum class RunStatus { open, capped, broken, not_entered };
enum class FixMethod { sonde, probe, open };
enum class NoteCategory {
    root,
    crack,
    collapse,
    offset_joint,
    deposit,
    standing_water,
    fitting,
    cap,
    end,
    infiltration,
    other
};

// The words of the tables: "distribution box", "building sewer", "not entered"…
std::string_view word(StructureKind kind);
std::string_view word(RunKind kind);
std::string_view word(RunStatus status);
std::string_view word(FixMethod method);
std::string_view word(NoteCategory category);

// A position as typed: degrees when `geographic`, else in the unit of the job's crs (metres when
// the crs is local and no unit was given; other units are already converted for a local crs).
struct TypedPosition {
    bool geographic = false;
    double x = 0.0;  // longitude, or easting
    double y = 0.0;  // latitude, or northing
    SourceCell source;
};

using Attributes = std::map<std::string, std::string>;  // unknown columns, as typed

struct Structure {
    StructureId id;
    StructureKind kind = StructureKind::other;
    std::optional<TypedPosition> position;
    MaybeCell<double> ground_m;      // elevation
    MaybeCell<double> h_accuracy_m;  // one standard deviation
    MaybeCell<double> v_accuracy_m;
    std::string receiver;  // that took the position; empty: not said
    MaybeCell<double> capacity_m3;
    std::string condition;
    std::string note;
    Attributes attributes;
    SourceCell source;
};

struct Run {
    RunId id;
    std::vector<std::string> footage;  // file names in push order, as found in the folder
    RunKind kind = RunKind::other;
    bool kind_said = false;  // by the table; else it is other for want of a word
    std::optional<StructureId> from;
    std::optional<StructureId> to;  // empty: blind end
    RunStatus status = RunStatus::open;
    MaybeCell<double> diameter_m;  // inside or nominal
    std::string material;
    MaybeCell<double> stick_length_m;  // laid length of one stick of the pipe, joint to joint
    std::optional<LengthUnit> counter_unit;
    std::optional<int> counter_decimals;     // digits behind the point, as the picture shows them
    MaybeCell<double> counter_at_start;      // in the counter's unit, as shown
    MaybeCell<double> start_heading_rad;     // directed, in the job's north
    MaybeCell<double> start_invert_depth_m;  // ground down to invert
    MaybeCell<double> end_invert_depth_m;
    MaybeCell<double> footage_start_s;  // clock of the first frame, seconds since 1970 UTC
    std::string reel;                   // empty: the job's reel
    std::string note;
    Attributes attributes;
    SourceCell source;
};

struct Fix {
    std::string id;  // "no. 3" when the table gives none
    RunId run;
    MaybeCell<double> counter;  // in the counter's unit, as shown
    MaybeCell<double> video_time_s;
    MaybeCell<double> clock_s;  // seconds since 1970 UTC
    std::optional<TypedPosition> position;
    MaybeCell<double> ground_m;
    MaybeCell<double> depth_m;
    MaybeCell<double> heading_rad;  // axial, in the job's north
    MaybeCell<double> h_accuracy_m;
    MaybeCell<double> depth_accuracy_m;
    MaybeCell<double> heading_accuracy_rad;
    MaybeCell<double> ground_accuracy_m;
    FixMethod method = FixMethod::sonde;
    std::string receiver;  // that took the position; empty: not said
    std::string note;
    Attributes attributes;
    SourceCell source;
};

enum class TieSide { unknown, left, right };  // of the line from the first to the second reference

struct Tie {
    std::string point;      // a structure id
    std::string reference;  // a structure id
    double distance_m = 0.0;
    std::optional<double> accuracy_m;
    TieSide side = TieSide::unknown;
    SourceCell source;
};

struct LevelReading {
    std::string setup;
    std::string point;
    std::optional<double> backsight_m;
    std::optional<double> foresight_m;
    std::optional<double> elevation_m;  // a benchmark
    SourceCell source;
};

enum class RecordItem {
    run_length,
    total_trench_length,
    number_of_laterals,
    tank_capacity,
    depth,
    slope,
    install_year
};
std::string_view word(RecordItem item);

struct RecordClaim {
    std::string document;
    std::string dated;
    RecordItem item = RecordItem::run_length;
    std::string of;          // a run id, a kind, a structure id; empty: the whole system
    double value = 0.0;      // metres, cubic metres, metres per metre, a count or a year
    std::string as_written;  // "320 ft"
    SourceCell source;
};

struct Note {
    RunId run;
    MaybeCell<double> counter;  // in the counter's unit, as shown
    MaybeCell<double> to_counter;
    MaybeCell<double> video_time_s;
    std::string what;
    NoteCategory category = NoteCategory::other;
    std::string severity;
    SourceCell source;
};

// What the camera's own level showed at one place of a run, written down.
struct GradeReading {
    RunId run;
    MaybeCell<double> counter;  // in the counter's unit, as shown
    MaybeCell<double> percent;  // as shown, sign included
    SourceCell source;
};

struct LoadStep {
    std::string step;
    MaybeCell<double> clock_s;
    MaybeCell<double> volume_m3;
    MaybeCell<double> seconds;
    std::string point;
    MaybeCell<double> level_m;
    std::string note;
    SourceCell source;
};

// A footage file of the folder, whether or not a run names it.
struct FootageFile {
    std::string name;  // within the job folder
    std::filesystem::path path;
};

// A table or raster that was read, for the lineage.
struct InputFile {
    std::string name;
    std::filesystem::path path;
};

struct Job {
    std::filesystem::path folder;
    JobSettings settings;
    std::vector<Structure> structures;
    std::vector<Run> runs;  // in the table's order; from footage alone: one run per file, by name
    bool runs_from_footage = false;
    std::vector<Fix> fixes;
    std::vector<Tie> ties;
    std::vector<LevelReading> levels;
    std::vector<RecordClaim> records;
    std::vector<Note> notes;
    std::vector<GradeReading> grade;
    std::vector<LoadStep> load_test;
    std::optional<std::filesystem::path> terrain;
    std::vector<FootageFile> footage;
    std::vector<InputFile> inputs;
    bool unit_open = false;  // there are lengths without a unit, and no table says theirs
    Findings findings;
};

// Reads every table and lists the footage of `folder`. Never throws for bad content: whatever
// cannot be used becomes a finding that names file, row and column, and the rest goes on. A folder
// that does not exist or cannot be listed gives an empty Job with a finding of severity problem.
// The folder is only read. Lengths without a unit are in the unit the tables state, else in
// `overlay_unit`, that of the counters in the footage, else in metres; the last two, and a job
// table that says feet for metres or metres for feet in the footage, are said in a finding.
Job read_job_folder(const std::filesystem::path& folder,
                    std::optional<LengthUnit> overlay_unit = std::nullopt);

}  // namespace sondeline
