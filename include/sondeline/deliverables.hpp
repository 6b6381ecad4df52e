// Deliverables: everything known of a job becomes files.
#pragma once

#include "sondeline/appraisal.hpp"

namespace sondeline {

// Everything the stages gave, read only.
struct AsBuilt {
    const Job& job;
    const std::vector<Track>& tracks;  // one per footage file read, in Job::footage order
    const RunTracks& run_tracks;
    const Site& site;
    const Lines& lines;
    const Profiles& profiles;
    const Appraisal& appraisal;
    const Findings& findings;  // of all stages, in order
    std::string version;       // of the program
};

struct DeliverableOptions {
    // Makes report.pdf, called with an HTML file and the PDF to write; empty: no PDF is asked for.
    // Where it is not on the machine, or fails, the rest of the set is written with a finding.
    std::string pdf_program;
};

// Debian's package of the same name.
inline constexpr std::string_view usual_pdf_program = "weasyprint";

// Writes the whole set into `out` so that a reader sees the old set or the new one, and returns
// what there is to say of the writing itself, which the set shows along with `findings`. Throws
// OutputError when nothing could be written; then the old set is intact.
Findings write_deliverables(const AsBuilt& as_built, const std::filesystem::path& out,
                            const DeliverableOptions& options = {});

struct OutputError : std::exception {
    explicit OutputError(std::string message) : text(std::move(message)) {}
    const char* what() const noexcept override { return text.c_str(); }
    std::string text;
};

// File names made from ids: letters, digits, "-", "_" and "." stay, anything else becomes "_"; a
// name that is already taken (letter case apart), empty, or made of dots alone gets a number behind
// it.
std::vector<std::string> file_stems(const std::vector<std::string>& ids);

// The text of readings/<run>.csv for the clips of one run in push order: comment lines, the header
// clip,time_s,counter,probability,state,reason, and a row for every sample.
std::string readings_csv(std::span<const Track> tracks);

// The same as JSON, with everything else that is known of each clip: {"schema":
// "sondeline-readings/1", "clips": [...]}.
std::string readings_json(std::span<const Track> tracks);

// The same as a drawing (SVG 1.1), a panel for each clip: counter over time, drawn by what the head
// did, with the stretches that were not read. Its size does not grow with the length of the clips.
std::string readings_picture(std::span<const Track> tracks);

// The text of readings/<run>_grade.csv: what an inclination figure in the overlay showed, with the
// header clip,time_s,counter,inclination,percent; empty when no clip shows one.
std::string grade_csv(std::span<const Track> tracks);

// The text of readings/<run>_water.csv: depth of standing water along each stretch that the footage
// shows, with the header clip,counter,share_of_diameter,sd; empty when no clip shows any.
std::string water_csv(std::span<const Track> tracks);

// The text of readings/<run>_marks.csv: places to look at that the picture shows by itself, with
// the header clip,time_s,counter,what; empty when there are none.
std::string marks_csv(std::span<const Track> tracks);

// A file of its own for each evidence picture of a clip: "012.3s-first-reading.png".
struct NamedPicture {
    std::string name;
    const EvidencePicture* picture = nullptr;
};
std::vector<NamedPicture> named_evidence(const Track& track);
// The folder of each clip's pictures, seen from the other outputs: "evidence/lateral1". In the
// order of the job's footage.
std::vector<std::string> evidence_folders(const Job& job);

}  // namespace sondeline
