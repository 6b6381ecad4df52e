// Arithmetic on as many numbers at a time as a register holds.
//
// What is written over Lanes gives the same results to the bit with registers of any width, as long
// as each number is added up in the same order: products are not fused with sums.
#pragma once

#include <cstring>
#include <type_traits>
#include <utility>

namespace sondeline {

// Numbers side by side in one register: four with SSE2, eight with AVX2, sixteen with AVX-512.
template <int Count>
struct Lanes {
    typedef float Values __attribute__((vector_size(Count * sizeof(float))));
    Values values;

    [[gnu::always_inline]] inline void load(const float* from) {
        std::memcpy(&values, from, sizeof values);
    }
    [[gnu::always_inline]] inline void store(float* to) const {
        std::memcpy(to, &values, sizeof values);
    }
    [[gnu::always_inline]] inline void add_product(float factor, const Lanes& other) {
        values += factor * other.values;
    }
    [[gnu::always_inline]] inline void raise_to(const Lanes& other) {
        values = values > other.values ? values : other.values;
    }
};

// Calls `action` with each number below `Count` as a constant: an array that is indexed by
// constants alone is kept in registers.
template <int Count, class Action>
[[gnu::always_inline]] inline void each_below(Action action) {
    [&]<int... I>(std::integer_sequence<int, I...>) __attribute__((always_inline)) {
        (action(std::integral_constant<int, I>{}), ...);
    }
    (std::make_integer_sequence<int, Count>{});
}

}  // namespace sondeline
