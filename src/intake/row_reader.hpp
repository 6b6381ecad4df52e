// Turns the cells of one row into values in SI, or into findings that say what is wrong with them.
#pragma once

#include <array>
#include <string>
#include <string_view>

#include <fmt/format.h>

#include "intake/table.hpp"
#include "intake/text.hpp"

namespace sondeline {

// What x and y of the tables mean.
enum class MapUnit { local_length, crs_units, degrees };

// What holds for every table of the job.
struct Reading {
    double bare_length_m = 1.0;  // metres in a number without unit
    LengthUnit bare_unit = LengthUnit::metre;
    bool bare_unit_assumed = true;      // the job table does not say the unit
    bool bare_unit_open = true;         // neither does any other table
    bool bare_length_met = false;       // set once such a number was read
    bool bare_heights_doubted = false;  // heights and depths without a unit are not to be used
    bool bare_height_left_out = false;  // set once such a one was not
    MapUnit map_unit = MapUnit::local_length;
    double crs_unit_m = 1.0;  // metres in a unit of the crs, for crs_units
    std::string date;         // of bare clock times; empty: not said
    double utc_offset_s = 0.0;
};

class RowReader {
  public:
    RowReader(const TableRow& row, Reading& reading, FindingLog& log)
        : row_(row), reading_(reading), log_(log) {}

    const SourceCell& source() const { return row_.source; }
    bool has(std::string_view column) const { return row_.cells.contains(column); }
    const TextCell* cell(std::string_view column) const;
    // Where a finding about the column belongs, also when the cell is empty.
    SourceCell where(std::string_view column) const;

    // As typed; "" when the cell is empty.
    std::string text(std::string_view column) const;

    // All are empty when the cell is, or, with a finding, when it is not what it should be.
    MaybeCell<double> length_m(std::string_view column) const;
    // As length_m, and empty without a finding where the unit of heights is in doubt and the cell
    // has none.
    MaybeCell<double> height_m(std::string_view column) const;
    MaybeCell<double> depth_m(std::string_view column) const;     // a height, not negative
    MaybeCell<double> accuracy_m(std::string_view column) const;  // positive
    MaybeCell<double> accuracy_rad(std::string_view column) const;
    MaybeCell<double> diameter_m(std::string_view column) const;
    MaybeCell<double> number(std::string_view column) const;
    MaybeCell<double> heading_rad(std::string_view column) const;  // directed
    MaybeCell<double> video_time_s(std::string_view column) const;
    // A clock without a date is on the job's.
    MaybeCell<double> clock_s(std::string_view column) const;
    MaybeCell<double> clock_on_day_s(std::string_view column, std::string_view date) const;
    MaybeCell<double> volume_m3(std::string_view column) const;
    MaybeCell<double> flow_m3_per_s(std::string_view column) const;
    // A reading of the footage counter, in `unit`; a cell with another unit is converted.
    MaybeCell<double> counter(std::string_view column, std::optional<LengthUnit> unit) const;

    // The one of `all` whose word() stands in the cell; `otherwise` when it is empty or none of
    // them.
    template <class Kind, std::size_t n>
    Kind choice(std::string_view column, const std::array<Kind, n>& all, Kind otherwise) const {
        const TextCell* found = cell(column);
        if (found == nullptr) return otherwise;
        std::vector<std::string> legal;
        for (const Kind kind : all) {
            if (says(column, kind)) return kind;
            legal.emplace_back(word(kind));
        }
        reject(*found, fmt::format("one of the words for {}", column),
               fmt::format("Use one of: {}. It was taken as {}.", listed(legal), word(otherwise)));
        return otherwise;
    }

    // Whether the cell holds the word for `kind`, or another usual one.
    template <class Kind>
    bool says(std::string_view column, Kind kind) const {
        const TextCell* found = cell(column);
        if (found == nullptr) return false;
        const std::string typed = normalised(found->text);
        return typed == word(kind) || table_word(typed) == word(kind);
    }

    // Neither the cell nor the head of its column has a unit.
    static bool is_bare_length(const TextCell& cell);

    // A finding that the cell "is not `what`".
    void reject(const TextCell& cell, std::string_view what, std::string what_to_do) const;
    FindingLog& log() const { return log_; }
    Reading& reading() const { return reading_; }

  private:
    bool header_unit_is(const TextCell& cell, std::string_view units) const;
    void reject_header_unit(const TextCell& cell, std::string_view legal) const;

    const TableRow& row_;
    Reading& reading_;
    FindingLog& log_;
};

}  // namespace sondeline
