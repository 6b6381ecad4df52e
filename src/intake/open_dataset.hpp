// Opening a table file with OGR: named drivers only, read-only, silent, nothing from the network.
#pragma once

#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include "intake/grid.hpp"

namespace sondeline {

// Empty, with a finding, when none of `drivers` (ended by nullptr) can read the file. Messages of
// GDAL are kept off standard error as long as an OgrSilence lives.
GDALDatasetUniquePtr open_dataset(const TableFile& file, const char* const* drivers,
                                  FindingLog& log);

// A finding when GDAL met an error since the file was opened: what was read may not be all.
void report_errors(const TableFile& file, FindingLog& log);

class OgrSilence {
  public:
    OgrSilence() { CPLPushErrorHandler(CPLQuietErrorHandler); }
    ~OgrSilence() { CPLPopErrorHandler(); }
    OgrSilence(const OgrSilence&) = delete;
    OgrSilence& operator=(const OgrSilence&) = delete;
};

}  // namespace sondeline
