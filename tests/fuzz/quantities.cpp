// Lengths, headings, times and numbers as typed: whatever is accepted is a finite figure within its
// range.
#include <cmath>
#include <cstdint>
#include <cstdlib>

#include "sondeline/terms.hpp"

namespace {

void require(bool holds) {
    if (!holds) std::abort();
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace sondeline;
    const std::string_view text(reinterpret_cast<const char*>(data), size);
    for (const bool comma : {false, true}) {
        const auto number = parse_number(text, comma);
        require(!number || std::isfinite(*number));
        const auto length = parse_length_m(text, 0.3048, comma);
        require(!length || std::isfinite(*length));
        const auto heading = parse_heading_rad(text, comma);
        require(!heading || (*heading >= 0.0 && *heading < 6.2831853071795872));
    }
    const auto time = parse_video_time_s(text);
    require(!time || (std::isfinite(*time) && *time >= 0.0));
    const auto clock = parse_clock_s(text, "2026-05-14", -18000.0);
    require(!clock || std::isfinite(*clock));
    parse_length_unit(text);
    const auto unit = parse_unit_in_metres(text);
    require(!unit || *unit > 0.0);
    return 0;
}
