// Positions out of the sentences a receiver writes (NMEA 0183; fields from memory).
#pragma once

#include <optional>
#include <string_view>
#include <vector>

namespace sondeline {

struct LoggedPosition {
    double clock_s = 0.0;  // since 1970 UTC
    double lon_deg = 0.0;
    double lat_deg = 0.0;
    double sd_m = 0.0;  // of each plan coordinate
    int row = 0;        // of its file: line, or number of the point
};

struct NmeaLog {
    std::vector<LoggedPosition> positions;  // in the order of the file
    int damaged = 0;                        // sentences whose check sum is wrong
    int without_fix = 0;                    // position sentences that hold no measured position
    bool undated = false;                   // no date in the log, and none was given
};

// Reads GGA (position), GST (standard deviations, taken where its time is that of the position) and
// RMC and ZDA (the date) of any talker; everything else is passed over. GGA tells the time of day
// alone: its day is that of the date last read, else the first that the log gives, else
// `date_days`; past midnight it goes on to the next. At most `most` positions.
NmeaLog read_nmea(std::string_view text, std::optional<int> date_days, std::size_t most);

}  // namespace sondeline
