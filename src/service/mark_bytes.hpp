// Marks along the pipe and the row of joints as bytes.
#pragma once

#include <optional>
#include <vector>

#include "sondeline/footage.hpp"

#include "service/plain_bytes.hpp"

namespace sondeline {

void put(ByteWriter& out, const std::vector<PassingMark>& marks,
         const std::optional<JointRow>& row);
// Sets `in.good` false where the bytes are none of ours.
void take_marks(ByteReader& in, std::vector<PassingMark>& marks, std::optional<JointRow>& row);

}  // namespace sondeline
