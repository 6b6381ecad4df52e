// Entries of the cache: whatever is accepted gives the same bytes again.
#include "fuzz/require.hpp"
#include "service/track_bytes.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace sondeline;
    const auto track = track_from_bytes(text_of(data, size));
    if (!track) return 0;
    const std::string kept = bytes_from_track(*track);
    const auto again = track_from_bytes(kept);
    require(again.has_value());
    require(bytes_from_track(*again) == kept);
    return 0;
}
