// The shared vocabulary: lengths, headings, ids, estimates with their spread, and findings.
//
// Inside the library every length is in metres and every angle in radians; headings run clockwise
// from north. Text in the technician's units is turned into these at the door, by the parsers here.
#pragma once

#include <compare>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace sondeline {

// ---- lengths ---------------------------------------------------------------------------------

enum class LengthUnit { metre, foot, us_survey_foot };

// Metres in one unit: 1, 0.3048 exactly, or 1200/3937 (NIST SP 811; the survey foot is retired for
// new work since 2023 but stays in older data).
double metres_per(LengthUnit unit);

// "m", "ft" or "us-ft".
std::string_view unit_symbol(LengthUnit unit);

// Reads "ft", "feet", "'", "m", "metres", "us-ft"… Letter case and a full stop do not matter.
// Empty when the word is none of these. Inches, centimetres and millimetres are not job units: they
// are understood by parse_length_m only.
std::optional<LengthUnit> parse_length_unit(std::string_view word);

// Reads a length such as `12.4`, `2' 6"`, `2 ft 6 in`, `30 in`, `0.76 m`, `76cm`, `1/4 in`.
// A bare number is in `metres_per_bare_unit` metres (0.0254 for a column headed "(in)").
// A decimal comma is accepted when `decimal_comma` is set. Empty for anything else, including
// infinities, NaN and trailing words.
std::optional<double> parse_length_m(std::string_view text, double metres_per_bare_unit,
                                     bool decimal_comma = false);

// Metres in one of the units that may stand in a column header or behind a number: those of
// LengthUnit, and in, cm, mm, yd. Empty when the word is no length unit.
std::optional<double> parse_unit_in_metres(std::string_view word);

// A plain decimal number with nothing around it but blanks; rejects NaN and infinity.
std::optional<double> parse_number(std::string_view text, bool decimal_comma = false);

// ---- headings --------------------------------------------------------------------------------

// Clockwise from north, and which way along the line matters. Held in [0, 2π).
struct DirectedHeading {
    double rad = 0.0;
};

// Clockwise from north, but only the line is known: h and h + π are the same. Held in [0, π).
struct AxialHeading {
    double rad = 0.0;
};

DirectedHeading directed(double heading_rad);
AxialHeading axial(double heading_rad);

// Reads degrees clockwise from north (`40`, `40.5°`) or a quadrant bearing (`N45E`, `S 12.5 W`,
// `N`, `SW`). The result is in [0, 2π). Empty for anything else or for degrees beyond ±360.
std::optional<double> parse_heading_rad(std::string_view text, bool decimal_comma = false);

// ---- time ------------------------------------------------------------------------------------

// Seconds from `75`, `75.2`, `1:15` or `0:01:15.2` (time into footage). Empty for anything else or
// for a negative time.
std::optional<double> parse_video_time_s(std::string_view text);

// Seconds since 1970-01-01T00:00:00Z of an ISO 8601 instant (`2026-05-14T10:32:05+02:00`, with
// blank or T, with or without seconds or zone) or of a bare clock time (`10:32:05`, `10:32`) on
// `date` (`2026-05-14`). A time without zone is `utc_offset_s` ahead of UTC. Empty when the text is
// no time, or is a bare clock time and `date` is empty.
std::optional<double> parse_clock_s(std::string_view text, std::string_view date,
                                    double utc_offset_s);

// ---- ids -------------------------------------------------------------------------------------

struct RunId {
    std::string text;
    auto operator<=>(const RunId&) const = default;
};

struct StructureId {
    std::string text;
    auto operator<=>(const StructureId&) const = default;
};

// ---- figures ---------------------------------------------------------------------------------

// A value with one standard deviation, in the unit its name says.
struct Estimate {
    double value = 0.0;
    double sd = 0.0;
};

// A value with its 95 % bounds, which need not lie evenly about it.
struct Bounded {
    double value = 0.0;
    double lo95 = 0.0;
    double hi95 = 0.0;
};

// Spread of a plan position, square metres: var(E), cov(E, N), var(N).
struct PlanCovariance {
    double ee = 0.0;
    double en = 0.0;
    double nn = 0.0;
};

// A figure or the reason why none is given, in plain words, with what would settle it.
struct Withheld {
    std::string reason;
    std::string what_to_do;
};

template <class T>
struct Figure {
    std::optional<T> value;
    Withheld withheld;  // read only when value is empty

    explicit operator bool() const { return value.has_value(); }
    const T& operator*() const { return *value; }
    const T* operator->() const { return &*value; }
};

template <class T>
Figure<T> figure(T value) {
    return {std::move(value), {}};
}

template <class T>
Figure<T> withheld(std::string reason, std::string what_to_do) {
    return {std::nullopt, {std::move(reason), std::move(what_to_do)}};
}

// Decimals that a 95 % half-width deserves: ±0.3 one, ±0.05 two, ±2 none; at most three, also for a
// half-width of zero.
int decimals_for_bounds(double half_width);

// A value rounded to those decimals.
double rounded_to_bounds(double value, double half_width);

// "182.3 ft (181.9 to 182.7)", rounded to what the bounds deserve.
std::string length_words(const Bounded& length_m, LengthUnit unit);

// A length without bounds: "12.4 ft".
std::string length_words(double length_m, LengthUnit unit, int decimals);

// ---- where a value came from, and what was found ----------------------------------------------

// A cell of an input table: file name within the job folder (with "#sheet" for a workbook), row
// (the header is row 1; 0 for the file as a whole) and column header as typed.
struct SourceCell {
    std::string file;
    int row = 0;
    std::string column;
};

// A value that remembers its cell.
template <class T>
struct Cell {
    T value{};
    SourceCell source;
};

// Empty: not measured.
template <class T>
using MaybeCell = std::optional<Cell<T>>;

enum class Severity { info, caution, problem };

std::string_view word(Severity severity);  // "info", "caution", "problem"

// What a finding does to the exit code.
enum class Consequence {
    none,
    input_rejected,    // a cell, row, table or clip could not be used
    run_not_measured,  // a run has no measured length
};

// Where a finding belongs; whatever is unknown stays empty.
struct Where {
    std::string file;
    int row = 0;
    std::string column;
    std::string run;
    std::string structure;
    std::optional<double> station_m;
    std::optional<double> time_s;
};

// One thing the user must know. `what` and `what_to_do` are whole plain-English sentences; `what`
// need not repeat `where`, which is printed in front of it.
struct Finding {
    Severity severity = Severity::info;
    Where where;
    std::string what;
    std::string what_to_do;
    Consequence consequence = Consequence::none;
};

using Findings = std::vector<Finding>;

// "fixes.csv row 7 column depth", "run L1 at 12.40 m", or "" when nothing is known. Stations print
// in `unit`.
std::string describe(const Where& where, LengthUnit unit = LengthUnit::metre);

Where where_is(const SourceCell& cell);

}  // namespace sondeline
