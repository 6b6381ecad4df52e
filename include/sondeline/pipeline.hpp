// The pipeline: a folder in, the as-built set out. The only place that knows the order of stages.
#pragma once

#include <stop_token>

#include "sondeline/deliverables.hpp"

namespace sondeline {

// Reads one clip; the default is read_clip. A cache or another machine may stand behind it.
using TrackReader = std::function<Track(const std::filesystem::path&, const ReadProgress&)>;

// The work was asked to stop, and nothing was written.
struct Stopped : std::exception {
    const char* what() const noexcept override { return "stopped before the map was written"; }
};

struct ProcessOptions {
    std::filesystem::path out;  // empty: <folder>/asbuilt
    unsigned threads = 0;       // clips read side by side; 0: as many as there are cores
    // Called from any thread, one call at a time: clip name and share done.
    std::function<void(const std::string&, double)> progress;
    // Asked between stages and whenever a reader tells of its progress; then Stopped is thrown.
    std::stop_token stop = {};
    std::string pdf_program = {};  // makes report.pdf; empty: none (see DeliverableOptions)
};

struct RunOutcome {
    RunId id;
    std::string from;
    std::string to;
    std::optional<double> length_m;
    std::optional<double> length_lo95_m;
    std::optional<double> length_hi95_m;
    std::string slope;    // "1.4 % ± 0.2", or "withheld"
    std::string bellies;  // "1", "none larger than 12 cm", "cannot be seen"
    std::string placement;
};

struct Outcome {
    int exit_code = 0;  // 0 all runs measured, 2 something could not be, 3 nothing written
    std::filesystem::path out;
    std::string site;
    LengthUnit job_unit = LengthUnit::foot;
    std::vector<RunOutcome> runs;
    std::vector<std::string> record_words;
    Findings findings;
    std::string error;  // when exit_code is 3
};

Outcome process_job(const std::filesystem::path& folder, const TrackReader& read,
                    const ProcessOptions& options = {});

// The job folders of a folder: itself when it holds footage or tables, else those of its subfolders
// that do (a day), by name. A folder with neither gives itself, so that processing it says why.
std::vector<std::filesystem::path> job_folders(const std::filesystem::path& folder);

std::string_view program_version();

}  // namespace sondeline
