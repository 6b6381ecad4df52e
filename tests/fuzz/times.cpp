// Times as typed, into footage and of day: whatever is accepted is finite and near its date.
#include <cmath>

#include "sondeline/terms.hpp"

#include "fuzz/require.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace sondeline;
    const std::string_view text = text_of(data, size);
    const auto time = parse_video_time_s(text);
    require(!time || (std::isfinite(*time) && *time >= 0.0));
    const auto clock = parse_clock_s(text, "2026-05-14", -18000.0);
    require(!clock || std::isfinite(*clock));
    // The date is typed as well.
    const auto of_typed_date = parse_clock_s("10:32", text, 0.0);
    require(!of_typed_date || std::isfinite(*of_typed_date));
    return 0;
}
