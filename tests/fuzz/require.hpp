// What a target demands of the code it drives; a broken demand is a find.
#pragma once

#include <cstdint>
#include <cstdlib>
#include <string_view>

inline void require(bool holds) {
    if (!holds) std::abort();
}

inline std::string_view text_of(const std::uint8_t* data, std::size_t size) {
    return {reinterpret_cast<const char*>(data), size};
}
