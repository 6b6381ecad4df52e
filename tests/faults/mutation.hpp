// Files damaged in ways that follow from a number, as media and copies damage them.
#pragma once

#include <cstdint>
#include <string>

namespace sondeline {

struct Mutation {
    std::string bytes;
    std::string what;  // "12 bits flipped", "cut off at 4711"
};

// The same bytes and seed give the same mutation: bits flipped anywhere or in the first 2 KiB, a
// cut, bits flipped and a cut, a block of noughts or of noise, a block put elsewhere, or a field of
// 32 bits set to an extreme.
Mutation mutated(const std::string& bytes, std::uint64_t seed);

}  // namespace sondeline
