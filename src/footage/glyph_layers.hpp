// The layers of the glyph network, over as many outputs at a time as fill a register.
//
// About half of what a rectifier gives is zero. Such inputs are listed away and never multiplied:
// adding nothing leaves a sum as it is. Every output is added up in the order of its inputs,
// whatever the width of the registers, and products are not fused: the results are the same to the
// bit on every machine.
#pragma once

#include <algorithm>
#include <bit>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <span>
#include <utility>

namespace sondeline {

// Outputs side by side in one register, four with SSE2, eight with AVX2, sixteen with AVX-512.
template <int Count>
struct Lanes {
    typedef float Values __attribute__((vector_size(Count * sizeof(float))));
    Values values;

    [[gnu::always_inline]] inline void load(const float* from) {
        std::memcpy(&values, from, sizeof values);
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

// An input that is not zero.
struct KeptInput {
    float value;
    int weights;  // where its weights begin, in floats
};

// Lists those of `count` inputs that are not zero, in their order, and returns how many they are;
// `kept` needs room for one more than `count`. Inputs come from a rectifier and have `outputs`
// weights each, the first from `weights` on.
[[gnu::always_inline]] inline int keep_inputs(const float* in, int count, int weights, int outputs,
                                              KeptInput* kept) {
    int found = 0;
    for (int i = 0; i < count; ++i) {
        kept[found] = {in[i], weights + i * outputs};
        found += std::bit_cast<std::uint32_t>(in[i]) != 0U ? 1 : 0;
    }
    return found;
}

// Adds what the inputs give to the sums of `Pixels` outputs, one below the other. An input's
// weights for the first lie `shift` floats further on, those for the next `Below` floats before
// them.
template <int Pixels, int Below, int Count, int Groups>
[[gnu::always_inline]] inline void add_inputs(std::span<const KeptInput> inputs,
                                              const float* weights, int shift,
                                              Lanes<Count> (*sums)[Groups]) {
    for (const KeptInput& input : inputs) {
        const float* own = weights + (input.weights + shift);
        each_below<Pixels>([&](auto p) __attribute__((always_inline)) {
            each_below<Groups>([&](auto g) __attribute__((always_inline)) {
                Lanes<Count> weight;
                weight.load(own - p * Below + g * Count);
                sums[p][g].add_product(input.value, weight);
            });
        });
    }
}

// A picture within a frame of one zero pixel, as the inputs of each row that are not zero.
template <int Height, int Width, int Channels, int Outputs>
class KeptPicture {
  public:
    static constexpr int input_weights = Outputs;
    static constexpr int pixel_weights = Channels * Outputs;

    // `pixels`: row by row without the frame, channels side by side.
    [[gnu::always_inline]] inline void take(const float* pixels) {
        for (int y = 1; y <= Height; ++y) {
            int found = 0;
            for (int x = 1; x <= Width; ++x, pixels += Channels) {
                starts_[y][x] = found;
                found += keep_inputs(pixels, Channels, x * pixel_weights, Outputs,
                                     inputs_[y - 1] + found);
            }
            starts_[y][Width + 1] = found;
            starts_[y][Width + 2] = found;
        }
    }

    // The inputs of three neighbouring pixels; rows and columns begin with the frame.
    std::span<const KeptInput> three(int row, int column) const {
        const int from = starts_[row][column];
        const int to = starts_[row][column + 3];
        return {inputs_[std::clamp(row - 1, 0, Height - 1)] + from,
                static_cast<std::size_t>(to - from)};
    }

  private:
    KeptInput inputs_[Height][Width * Channels + 1];
    int starts_[Height + 2][Width + 3] = {};
};

// Raises `most` to the sums of a 3x3 convolution at two pixels, one below the other, for the first
// `Groups` registers of outputs. `row` and `column` are those of the upper one's window.
template <int Groups, int Count, class Picture>
[[gnu::always_inline]] inline void raise_to_sums(const Picture& in, int row, int column,
                                                 const float* weights, const float* bias,
                                                 Lanes<Count>* most) {
    constexpr int window_row = 3 * Picture::pixel_weights;
    Lanes<Count> sums[2][Groups];
    each_below<Groups>([&](auto g) __attribute__((always_inline)) {
        sums[0][g].load(bias + g * Count);
        sums[1][g] = sums[0][g];
    });
    const int left = column * Picture::pixel_weights;
    add_inputs<1, 0>(in.three(row, column), weights, -left, sums);
    add_inputs<2, window_row>(in.three(row + 1, column), weights, window_row - left, sums);
    add_inputs<2, window_row>(in.three(row + 2, column), weights, 2 * window_row - left, sums);
    add_inputs<1, 0>(in.three(row + 3, column), weights, 2 * window_row - left, sums + 1);
    each_below<Groups>([&](auto g) __attribute__((always_inline)) {
        most[g].raise_to(sums[0][g]);
        most[g].raise_to(sums[1][g]);
    });
}

// The same at the first `Pixels` of four that lie in a square of a picture of one channel; `window`
// is the top left of what the first pixel sees.
template <int Pixels, int Stride, int Count, int Groups>
[[gnu::always_inline]] inline void raise_to_sums(const float* window, const float* weights,
                                                 const float* bias, Lanes<Count> (&most)[Groups]) {
    Lanes<Count> sums[Pixels][Groups];
    each_below<Groups>([&](auto g) __attribute__((always_inline)) {
        each_below<Pixels>([&](auto p) __attribute__((always_inline)) {
            sums[p][g].load(bias + g * Count);
        });
    });
    each_below<9>([&](auto tap) __attribute__((always_inline)) {
        const float* input = window + tap / 3 * Stride + tap % 3;
        each_below<Groups>([&](auto g) __attribute__((always_inline)) {
            Lanes<Count> weight;
            weight.load(weights + (tap * Groups + g) * Count);
            each_below<Pixels>([&](auto p) __attribute__((always_inline)) {
                sums[p][g].add_product(input[p % 2 + p / 2 * Stride], weight);
            });
        });
    });
    each_below<Groups>([&](auto g) __attribute__((always_inline)) {
        each_below<Pixels>([&](auto p)
                               __attribute__((always_inline)) { most[g].raise_to(sums[p][g]); });
    });
}

// 3x3 convolution, 2x2 maximum and rectifier in one go.
template <int Count, int Height, int Width, int In, int Out>
[[gnu::always_inline]] inline void convolve_and_pool(const KeptPicture<Height, Width, In, Out>& in,
                                                     const float* weights, const float* bias,
                                                     float* out) {
    constexpr int groups = Out / Count;
    constexpr int together = std::min(groups, 4);  // as registers allow
    for (int y = 0; y < Height; y += 2) {
        for (int x = 0; x < Width; x += 2, out += Out) {
            Lanes<Count> most[groups]{};
            for (int first = 0; first < groups; first += together) {
                for (int column = x; column < x + 2; ++column) {
                    raise_to_sums<together>(in, y, column, weights + first * Count,
                                            bias + first * Count, most + first);
                }
            }
            std::memcpy(out, most, sizeof most);
        }
    }
}

// The same over a picture of one channel, which is framed by zero pixels and all looked at.
template <int Count, int Height, int Width, int Out>
[[gnu::always_inline]] inline void convolve_and_pool(const float* in, const float* weights,
                                                     const float* bias, float* out) {
    constexpr int stride = Width + 2;
    constexpr int groups = Out / Count;
    constexpr int together = groups <= 2 ? 4 : 2;  // pixels, as registers allow
    for (int y = 0; y < Height; y += 2) {
        for (int x = 0; x < Width; x += 2, out += Out) {
            Lanes<Count> most[groups]{};
            for (int row = 0; row < 4 / together; ++row) {
                raise_to_sums<together, stride>(in + (y + row) * stride + x, weights, bias, most);
            }
            std::memcpy(out, most, sizeof most);
        }
    }
}

// Sums of a full layer: every input's weights lie side by side.
template <int Count, int Out>
[[gnu::always_inline]] inline void connect(std::span<const KeptInput> in, const float* weights,
                                           const float* bias, float* out) {
    constexpr int groups = Out / Count;
    constexpr int together = groups % 8 == 0 ? 8 : groups % 6 == 0 ? 6 : groups % 4 == 0 ? 4 : 3;
    static_assert(groups % together == 0);
    for (int first = 0; first < Out; first += together * Count) {
        Lanes<Count> sums[1][together];
        each_below<together>([&](auto g) __attribute__((always_inline)) {
            sums[0][g].load(bias + first + g * Count);
        });
        add_inputs<1, 0>(in, weights, first, sums);
        std::memcpy(out + first, sums, sizeof sums);
    }
}

}  // namespace sondeline
