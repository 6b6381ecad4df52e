// The log of a receiver: whatever is accepted lies on the earth and has a time and an accuracy.
#include "intake/nmea.hpp"

#include <cmath>

#include "fuzz/require.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace sondeline;
    constexpr std::size_t most = 100;
    const NmeaLog log = read_nmea(text_of(data, size), 20000, most);
    require(log.positions.size() <= most && log.damaged >= 0 && !log.undated);
    for (const LoggedPosition& position : log.positions) {
        require(std::isfinite(position.clock_s) && position.sd_m > 0.0);
        require(std::isfinite(position.sd_m) && position.row > 0);
        require(std::abs(position.lat_deg) <= 90.0 && std::abs(position.lon_deg) <= 180.0);
    }
    return 0;
}
