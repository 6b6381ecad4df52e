// The water of a track as bytes, for track_bytes.cpp.
#pragma once

#include <optional>

#include "sondeline/footage.hpp"

#include "service/plain_bytes.hpp"

namespace sondeline {

void put(ByteWriter& out, const std::optional<WaterLog>& water);

// Takes what `put` wrote; of anything else something bounded, with `in.good` false where it ends
// early.
std::optional<WaterLog> take_water(ByteReader& in);

}  // namespace sondeline
