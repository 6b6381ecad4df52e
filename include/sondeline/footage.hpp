// Footage: a clip becomes a Track of (time, counter, confidence), from the clip alone.
#pragma once

#include <cstdint>
#include <functional>
#include <span>

#include "sondeline/terms.hpp"

namespace sondeline {

// The unit the overlay shows; `feet_and_inches` counters are given in decimal feet.
enum class CounterUnit { unknown, metre, foot, feet_and_inches };

struct PixelBox {
    int x = 0;
    int y = 0;
    int width = 0;
    int height = 0;
};

// How the counter is written, found once per clip.
struct CounterFormat {
    PixelBox box;  // of the counter's digits, in pixels of the stored picture
    CounterUnit unit = CounterUnit::unknown;
    double unit_probability = 0.0;  // 0 when unknown
    int integer_cells = 0;          // places before the point
    int decimals = 0;
    bool zero_padded = false;
    std::string pattern;       // "0012.4 ft": an example as it stands in the picture
    double digits_sure = 0.0;  // share of digit readings above the margin
    // Where the point stands could not be told for sure: every reading may be ten times off.
    bool point_in_doubt = false;
    double tick() const;  // one step of the last digit, in decimal units
};

enum class CounterState { hold, push, pull, zero, missing };
std::string_view word(CounterState state);

// One sampled frame. A reading that is not sure enough is missing, with the reason.
struct CounterSample {
    double time_s = 0.0;            // presentation time from the clip's first frame
    std::optional<double> counter;  // decimal units, as shown
    double probability = 0.0;       // that this reading is right; 0 when missing
    CounterState state = CounterState::missing;
    std::string reason;  // why it is missing; else empty
};

// The head stood still: counter constant for at least 2 s.
struct Hold {
    double from_s = 0.0;
    double to_s = 0.0;
    double counter = 0.0;
};

// The counter was set to another value while the head did not move.
struct Zeroing {
    double time_s = 0.0;
    double counter_before = 0.0;
    double counter_after = 0.0;
    bool gap_known = false;  // both sides were read within a second of the change
};

// The head was drawn back by at least ten ticks, then pushed again or taken out.
struct PullBack {
    double from_s = 0.0;
    double to_s = 0.0;
    double from_counter = 0.0;
    double to_counter = 0.0;
};

enum class FieldKind { clock, date, title, second_counter, other };
std::string_view word(FieldKind kind);

// A line of overlay text that is not the counter.
struct OverlayField {
    PixelBox box;
    FieldKind kind = FieldKind::other;
};

// The running clock of the overlay, taken only when it gains a second a second.
struct OverlayClock {
    PixelBox box;
    double start_s = 0.0;  // after midnight, at the clip's first frame
    double bound_s = 0.0;  // start_s is off by at most so much, if the recorder's clock was right
    bool twelve_hour = false;  // letters stand behind it that may be AM or PM: start_s, or 12 h on
    std::string date;          // "2026-05-14" when a date is shown that can be read one way only
};

// One reading of the slope that the camera's own level shows where the head was.
struct GradePoint {
    double time_s = 0.0;
    double counter = 0.0;      // as shown by the counter in the same frame
    double inclination = 0.0;  // as shown: positive as the overlay writes it
};

enum class InclinationUnit { unknown, percent, degree };
std::string_view word(InclinationUnit unit);

// An inclination figure in the overlay, as a log over the counter. It is what the camera shows at
// that moment: its level may be off, and a head that lies askew shows its own slope and not the
// pipe's.
struct GradeLog {
    PixelBox box;
    InclinationUnit unit = InclinationUnit::unknown;
    double tick = 0.1;               // one step of its last digit
    std::vector<GradePoint> points;  // in time order, one for each sample with both readings

    // In percent; empty when the overlay does not say the unit.
    std::optional<double> percent(const GradePoint& point) const;
};

// What one look along the pipe says of standing water before the lens.
enum class WaterState { dry, water, submerged, not_sure, no_pipe };
std::string_view word(WaterState state);

struct WaterSample {
    double time_s = 0.0;
    WaterState state = WaterState::no_pipe;
    double down_rad = 0.0;  // of the invert in the picture, clockwise from its right-hand side
    std::optional<double> share;  // depth over the inside diameter, where water is seen
};

// Depth of standing water at one place, as a share of the inside diameter.
struct WaterDepth {
    double counter = 0.0;  // continuous, see WaterStretch
    Estimate share;
};

// Water that stands in the pipe between two places, lower counter first. Counters are those of the
// clip made continuous across zeroings, in the counter's unit, as join_clips gives them.
struct WaterStretch {
    double from = 0.0;
    double to = 0.0;
    double from_bound = 0.0;  // either end is off by at most so much, 95 %
    double to_bound = 0.0;
    bool from_seen = false;  // its shore is in the footage; else the water reaches back from there
    bool to_seen = false;
    std::vector<WaterDepth> depths;  // by rising counter; none: how high the lens rides is unknown
    bool deepest_unseen = false;     // how deep it is at most was not seen, or not surely enough
    bool pushing = false;            // seen while the head was pushed in
    bool retrieving = false;         // seen while it was drawn back
    double deepest_s = 0.0;          // of the deepest look
};

// A part of the pipe that the footage looked along; lower counter first, counters as in
// WaterStretch.
struct WaterReach {
    double from = 0.0;
    double to = 0.0;
    // Depth over the inside diameter from which on standing water would have been noticed here 9
    // times in 10, by rendered footage; empty: no depth is as sure as that.
    std::optional<double> sure_share;
    // Something runs along the wall like the shores of water, of which nothing was claimed.
    bool left_open = false;
};

struct WaterLog {
    std::vector<WaterSample> samples;     // in time order, about two a second
    std::optional<Estimate> lens_height;  // above the invert, over the inside diameter
    std::vector<WaterStretch> stretches;  // by rising counter
    std::vector<WaterReach> reaches;      // by rising counter, none upon another
};

// What passes the lens and may be worth a look: a dark ring round the wall, as joints show; the
// picture turning suddenly, as in a fitting; the light changing for good.
enum class PassingKind { ring, turn, light };
std::string_view word(PassingKind kind);

// Found by the picture alone: somewhere to look, no judgement of the pipe.
struct PassingMark {
    PassingKind kind = PassingKind::ring;
    double counter = 0.0;         // of its place, as in WaterStretch
    double time_s = 0.0;          // when it shows best
    std::optional<double> shown;  // the counter in that picture; empty where it was not read
};

// Dark rings at one and the same distance, as the joints of sticks of one length.
struct JointRow {
    Estimate spacing;   // by the counter, in its unit
    double from = 0.0;  // counters of the first and the last of them
    double to = 0.0;
    int spaces = 0;  // between neighbouring rings that agree, missed ones counted in
};

// A frame that a reading rests on: small, with the counter's box drawn in and its digits enlarged.
struct EvidencePicture {
    double time_s = 0.0;
    std::string what;  // "first reading", "furthest reach", "set to another value", "standing
                       // water", "sudden turn", "light changes", "dark ring", "not read"
    std::string png;   // the bytes of the file
};

struct ClipDescription {
    std::string name;    // file name without folders
    std::string sha256;  // lower-case hex; empty when the file could not be read
    std::uint64_t bytes = 0;
    std::string container;
    std::string codec;
    int width = 0;
    int height = 0;
    std::int64_t frames = 0;  // decoded
    double duration_s = 0.0;  // last minus first presentation time
    double frame_rate = 0.0;  // as measured from time stamps
    bool interlaced = false;
    bool damaged = false;                   // frames missing, errors, or cut off
    std::optional<double> creation_time_s;  // container's, seconds since 1970 UTC
};

struct Track {
    ClipDescription clip;
    std::optional<CounterFormat> format;  // empty: no counter found
    std::vector<CounterSample> samples;   // in time order, about ten a second
    std::vector<Hold> holds;
    std::vector<Zeroing> zeroings;
    std::vector<PullBack> pull_backs;
    std::vector<OverlayField> other_fields;
    std::optional<OverlayClock> clock;
    std::optional<GradeLog> grade;
    std::optional<WaterLog> water;          // empty: no counter, so that water would have no place
    std::vector<PassingMark> marks;         // by rising counter
    std::optional<JointRow> joint_row;      // empty: no row of rings is plain
    std::vector<EvidencePicture> evidence;  // in time order; see add_evidence
    double coverage = 0.0;                  // share of samples with a reading
    Findings findings;                      // where.file is the clip's name
};

// Called now and then with the share done in 0…1; may be empty.
using ReadProgress = std::function<void(double)>;

struct ReadOptions {
    double samples_per_s = 10.0;
    double min_probability = 0.98;  // below it a reading is missing
    bool water = true;              // look along the pipe as well: standing water, marks
};

// Reads the counter of one clip: overlay, format, value of every sampled frame. Single-threaded and
// deterministic; memory does not grow with the number of pixels decoded, only by about 100 bytes a
// sample. Any byte sequence is legal input: a file that is no video, is cut off or shows no counter
// gives a Track without format and a finding that says so.
Track read_clip(const std::filesystem::path& clip, const ReadOptions& options = {},
                const ReadProgress& progress = {});

// Sets the track's evidence: the frames of the first reading, of the furthest reach, of every time
// the counter was set to another value, of the deepest standing water and of every stretch of a
// second or more that could not be read, a dozen at most (the longest stretches first); besides
// these at most five marks along the pipe. Frames are sought, not decoded one after the other; one
// that cannot be found at its time is left out. Deterministic.
void add_evidence(const std::filesystem::path& clip, Track& track);

// Headers and hash only; no frame is decoded, so frames and duration are the container's claims.
ClipDescription describe_clip(const std::filesystem::path& clip);

// What a clip's container promises, looked up without reading the file through.
struct HeaderCheck {
    std::string why_not;  // empty: it opens as footage
    std::string what_to_do;
    double duration_s = 0.0;  // 0: not said
    std::optional<double> creation_time_s;
    // The file ends before the footage that its own index or header promises; from when on, where
    // the index tells.
    bool cut_off = false;
    std::optional<double> cut_off_at_s;
};

HeaderCheck check_headers(const std::filesystem::path& clip);

// Lower-case hexadecimal SHA-256 of a file; empty when it could not be read to its end.
std::string file_sha256(const std::filesystem::path& file);

// The track with its point so that `decimals` digits stand behind it, as somebody says who looked
// at the picture: every counter in it is moved by as many places, its doubt is gone, and a finding
// says so. As it was when no counter was found, when it shows inches, and when the number has too
// few digits for it.
Track with_decimals(Track track, int decimals);

// ---- one run from several clips ---------------------------------------------------------------

struct PushSample {
    int clip = 0;  // index into JoinedTrack::clips
    CounterSample sample;
    std::optional<double> pushed;  // counter made continuous across zeroings, in its unit
};

struct PushedReach {
    int clip = 0;
    double time_s = 0.0;
    double counter = 0.0;  // as shown
    double pushed = 0.0;   // continuous
};

// Standing water seen in one of the clips, its counters continuous and in the run's unit.
struct PushedWater {
    int clip = 0;
    WaterStretch stretch;
};

// Where the picture of one of the clips turns suddenly, by the run's continuous counter.
struct PushedTurn {
    int clip = 0;
    double pushed = 0.0;
    double time_s = 0.0;  // in that clip
};

// What the camera's own level showed at one place, percent as the overlay writes its sign.
struct PushedGrade {
    int clip = 0;
    double pushed = 0.0;
    double percent = 0.0;
};

// The clips of one run, joined by their counters.
struct JoinedTrack {
    std::vector<std::string> clips;  // names in push order
    // When each of them begins, seconds from the start of the run's first clip, those left out
    // counted in; empty where one before it could not be timed.
    std::vector<std::optional<double>> clip_starts_s;
    CounterUnit unit = CounterUnit::unknown;
    double tick = 0.1;            // coarsest of the clips, in decimal units
    bool point_in_doubt = false;  // of any of the clips that were read
    std::vector<PushSample> samples;
    std::optional<PushedReach> first;     // first reading
    std::optional<PushedReach> furthest;  // greatest `pushed`
    double unread_before_reach_s = 0.0;   // missing time adjoining the furthest reading
    bool continuous = true;     // false: a gap across a zeroing or between clips cannot be known
    std::vector<double> parts;  // pushed distance of each continuous part, in the counter's unit
    double coverage = 0.0;
    std::vector<PushedWater> water;         // clip by clip
    std::vector<WaterReach> water_reaches;  // clip by clip: those of two clips may overlap
    std::vector<PushedTurn> turns;          // clip by clip: two may show the same one
    std::vector<PushedGrade> grade;   // in time order; without readings whose unit is not shown
    double grade_tick_percent = 0.0;  // coarsest step of those figures
    std::optional<Estimate> joint_spacing;  // by the counter, of the clip that tells it best
    Findings findings;
};

// Joins tracks in push order. Across a zeroing the counter is continued when the head did not move;
// between clips when the readings overlap or meet within ten ticks. Tracks without a reading are
// skipped with a finding.
JoinedTrack join_clips(std::span<const Track> tracks);

// Metres in one of the counter's units; a unit that is unknown takes `fallback`.
double metres_per_count(CounterUnit unit, LengthUnit fallback);

}  // namespace sondeline
