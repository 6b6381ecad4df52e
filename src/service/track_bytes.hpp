// A Track as bytes, for keeping it: compact, exact to the last bit, the same on every machine.
#pragma once

#include <string>

#include "sondeline/footage.hpp"

namespace sondeline {

// Little-endian throughout; every text and list has its length in front. About 34 bytes a sample.
std::string bytes_from_track(const Track& track);

// Empty when the bytes are not what bytes_from_track gives: cut off, too long, a length that cannot
// be, a figure that is not finite, a word out of its range. Never allocates more than a small
// multiple of bytes.size().
std::optional<Track> track_from_bytes(std::string_view bytes);

// FNV-1a, 64 bit: notices bits that went over on a disk or a wire, no protection against forgery.
std::uint64_t checksum(std::string_view bytes);

}  // namespace sondeline
