// Entries of the cache: whatever is accepted gives the same bytes again.
#include <cstdint>
#include <cstdlib>

#include "service/track_bytes.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string_view bytes(reinterpret_cast<const char*>(data), size);
    const auto track = sondeline::track_from_bytes(bytes);
    if (!track) return 0;
    const auto again = sondeline::track_from_bytes(sondeline::bytes_from_track(*track));
    if (!again) std::abort();
    if (sondeline::bytes_from_track(*again) != sondeline::bytes_from_track(*track)) std::abort();
    return 0;
}
