// Service: the pipeline kept going over many clips, jobs and days. Readings are kept between runs,
// a day's jobs go side by side, an inbox is watched, jobs are checked on site and put on a shared
// map.
#pragma once

#include <atomic>
#include <cstdint>

#include "sondeline/pipeline.hpp"

namespace sondeline {

// ---- kept readings ------------------------------------------------------------------------------

// Sixteen hexadecimal digits that change with any source file the reading of footage depends on.
std::string_view reader_version();

// A folder of Tracks, each under its clip's SHA-256 and the reader's version. Several processes, on
// several machines, may use one folder at once: entries appear whole or not at all. An entry that
// is damaged, or is not of this reader or clip, counts as absent and is written anew.
struct TrackCache {
    std::filesystem::path folder;
    std::string reader = std::string(reader_version());
    std::uint64_t most_bytes = std::uint64_t{2} << 30U;  // entries unused for longest are dropped
};

// "sondeline" in $XDG_CACHE_HOME, else in ~/.cache (XDG Base Directory Specification 0.8). Empty
// when neither is an absolute path.
std::filesystem::path default_cache_folder();

std::optional<Track> kept_track(const TrackCache& cache, const std::string& sha256);

// Keeps a track under the hash in its description, then drops what is beyond most_bytes. What
// cannot be kept (no hash, no room, no right) is left: the next run reads the clip again.
void keep_track(const TrackCache& cache, const Track& track);

// A reader that looks into the cache first. A clip that has not changed since it was last seen, by
// place, size, number and both times of its file, is not even opened. A clip that changes while it
// is read, or whose medium failed, is not kept.
TrackReader caching_reader(TrackCache cache, TrackReader reader);

// ---- a day --------------------------------------------------------------------------------------

struct JobOrder {
    std::filesystem::path folder;
    std::filesystem::path out;  // empty: <folder>/asbuilt
};

// One order for each job folder of `folders`, none twice. With `out` given, a single job is written
// there and several into folders in it, called like the jobs; names that clash get a number.
std::vector<JobOrder> job_orders(const std::vector<std::filesystem::path>& folders,
                                 const std::filesystem::path& out = {});

// The hidden folder beside `out` in which this process makes a map before it shows it; for clearing
// up when there is no time to end in good order. The next run removes it as well.
std::filesystem::path unfinished_folder(const std::filesystem::path& out);

struct JobProgress {
    std::size_t job = 0;  // index into the orders
    std::string clip;
    double share = 0.0;
};

struct DayOptions {
    unsigned threads = 0;  // clips read at once over all jobs; 0: as many as there are cores
    std::function<void(const JobProgress&)> progress;               // one call at a time
    std::function<void(std::size_t job, const Outcome&)> job_done;  // likewise, in order of jobs
    std::stop_token stop = {};
    std::string pdf_program = {};  // as in ProcessOptions
};

// Jobs side by side. One that fails, for whatever reason, gives an Outcome with exit code 3 and
// stops no other. Throws Stopped when asked to stop; jobs that were done stay done.
std::vector<Outcome> process_jobs(const std::vector<JobOrder>& orders, const TrackReader& reader,
                                  const DayOptions& options = {});

// ---- on site ------------------------------------------------------------------------------------

struct RunCheck {
    RunId id;
    int clips = 0;
    int fixes = 0;
    bool footage_read = false;         // its readings were in the cache
    bool end_noted = false;            // not read, but a note says where it ends
    std::optional<double> reach_m;     // read, or as far as the fixes and notes taken so far go
    std::optional<double> worst_sd_m;  // of its line on the map, at its least certain place
    std::string belly_words;           // how large a sag the depths so far could show
};

struct SiteCheck {
    std::string site;
    LengthUnit job_unit = LengthUnit::foot;
    std::vector<RunCheck> runs;
    std::vector<std::string> next_fixes;  // what would help most, and by how much; best first
    std::vector<std::string> to_do;       // everything, in order of worth, each a sentence or two
    Findings findings;                    // cautions and problems, likewise
};

// What is missing or wrong in a job folder while it can still be mended: tables and the headers of
// clips only, so that it takes about a second. No footage is decoded; runs whose clips were read
// before are taken from `cache`, others are taken to reach as far as their fixes and notes say.
SiteCheck check_job(const std::filesystem::path& folder,
                    const std::optional<TrackCache>& cache = std::nullopt);

// ---- the tables to fill in
// ------------------------------------------------------------------------

struct StartOptions {
    LengthUnit unit = LengthUnit::foot;
    bool workbook = false;  // one tables.xlsx instead of a CSV file for each table
};

struct Started {
    std::vector<std::string> written;         // file names
    std::vector<std::string> kept;            // tables and files that stood there already
    std::vector<std::string> unlisted_clips;  // that a runs table already there does not name
    std::string error;                        // the last thing that could not be written
};

// Writes the tables of a job for a technician to fill in, a run already listed for each clip, and a
// page that says how. Nothing that stands there is touched, whatever its kind (CSV, GPX, …).
Started start_tables(const std::filesystem::path& folder, const StartOptions& options = {});

// ---- an inbox -----------------------------------------------------------------------------------

struct WatchOptions {
    unsigned threads = 0;
    double settle_s = 10.0;   // a job is worked on when nothing in it has changed for so long
    double interval_s = 2.0;  // between looks
    bool once = false;        // end when nothing waits or is being copied
    std::function<void(const std::string&)> tell;              // a plain line
    std::function<void(const std::string&, double)> progress;  // "job/clip" and share
    std::stop_token stop = {};
    std::string pdf_program = {};  // as in ProcessOptions
};

// Works on every job folder dropped into `inbox`, and again on each that changes, until asked to
// stop. Jobs are worked on once they have been copied: no file of theirs has changed or is being
// written to, and none is called as copying programs call what is not whole. Loose clips and hidden
// folders are left alone. What is going on stands in <inbox>/watching.json, written anew at every
// change; what was finished in <inbox>/.sondeline/, so that a restart does not redo it. A job whose
// map could not be written is tried again every minute; a job that ended the program twice is left
// until it changes. Gives an empty text, or why there was nothing to watch: no such folder, or
// another watcher holds its lock (flock(2), which ends with the process that holds it).
std::string watch_inbox(const std::filesystem::path& inbox, const TrackReader& reader,
                        const WatchOptions& options = {});

// ---- a shared map -------------------------------------------------------------------------------

struct PublishOptions {
    std::string crs;  // of a map that is made anew: "EPSG:…"; empty: WGS 84 longitude and latitude
    bool replace_other = false;  // a job of the same name that came from another folder
};

struct Published {
    std::string job;  // its id in the map
    std::int64_t rows = 0;
    Findings findings;
    std::string error;  // empty: the map holds the job
};

// Adds the layers of a processed job (its asbuilt.gpkg) to a shared map, or puts them in the place
// of what the map holds of that job, in one transaction: a reader sees the job as it was or as it
// is. `to` is a GeoPackage file or a PostGIS connection, "PG:…" or "postgresql://…". Every row has
// the job's id, the name of the job's folder, in the column job; the table jobs lists them.
// Positions are brought into the map's coordinate system; those of a job in local coordinates stay
// behind, with a finding. Publishers of one map take turns.
Published publish_job(const std::filesystem::path& folder, const std::string& to,
                      const PublishOptions& options = {});

}  // namespace sondeline
