// The tables of the sample site, as a technician would have typed them, and its truth.
#pragma once

#include <filesystem>

#include "made/sample_site.hpp"

namespace sondeline::made {

// job, structures, runs, fixes, levels, notes, records and loadtest as CSV files in `folder`.
void write_sample_tables(const SampleSite& site, const std::filesystem::path& folder);

// <run>.csv: station_m, easting_m, northing_m, invert_m every 0.1 m; runs.csv: counted and true
// length; in the map's coordinates.
void write_sample_truth(const SampleSite& site, const std::filesystem::path& folder);

}  // namespace sondeline::made
