// How far to trust a satellite position by what the receiver says of it.
#pragma once

#include <optional>
#include <string_view>

#include "intake/row_reader.hpp"

namespace sondeline {

enum class SolutionKind { none, alone, differential, fixed, floating };

// The quality field of a GGA sentence (NMEA 0183, from memory): 1 alone, 2 differential, 3 precise,
// 4 fixed, 5 floating; the rest is no measured position.
SolutionKind solution_of_gga(int quality);

// The `fix` element of a GPX point: none, 2d, 3d, dgps or pps (GPX 1.1 schema). Empty otherwise.
std::optional<SolutionKind> solution_of_gpx(std::string_view word);

// One standard deviation of each plan coordinate, metres: the range error that is usual for the
// kind of solution times the dilution of precision, shared by two axes. Range errors: 4 m alone,
// 1.2 m differential, 0.5 m floating, 0.02 m fixed (common practice, no source). Without a dilution
// 1.5 is taken. Empty for none.
std::optional<double> sd_of_solution_m(SolutionKind kind, std::optional<double> hdop);

// The column `h accuracy` of a row, else what its columns fix and hdop say, as waypoints of GPX
// have them, with a finding once for each file; a bare hdop is taken for a receiver that stands
// alone.
MaybeCell<double> stated_h_accuracy_m(const RowReader& row, const TableRow& cells);

}  // namespace sondeline
