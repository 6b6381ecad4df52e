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
#include <type_traits>

#include "footage/lanes.hpp"

namespace sondeline {

// An input that is not zero.
struct KeptInput {
    float value;
    int weights;  // where its weights begin, in floats
};

// Inputs in runs of one length, the weights of the first from `weights` on, `outputs` for each.
struct InputRuns {
    int runs = 1;
    int length = 0;  // a multiple of sixteen
    int weights = 0;
    int outputs = 0;
};

// How many more inputs `kept` below needs room for.
inline constexpr int room_beyond_kept = 16;

// Lists the inputs that are not zero, in their order, says where each run starts in the list and
// returns its length. Inputs come from a rectifier.
[[gnu::always_inline]] inline int keep_inputs(const float* in, const InputRuns& inputs,
                                              KeptInput* kept, int* starts) {
    int found = 0;
    int weights = inputs.weights;
    for (int run = 0; run < inputs.runs; ++run) {
        starts[run] = found;
        for (int i = 0; i < inputs.length; ++i, ++in, weights += inputs.outputs) {
            kept[found] = {*in, weights};
            found += std::bit_cast<std::uint32_t>(*in) != 0U ? 1 : 0;
        }
    }
    return found;
}

#if defined(__x86_64__)
// The same; not to be called where there is no AVX-512.
int keep_inputs_with_avx512(const float* in, const InputRuns& inputs, KeptInput* kept, int* starts);
#endif

// The same, for code that works on so many outputs at a time.
template <int Count>
[[gnu::always_inline]] inline int keep_inputs_for(const float* in, const InputRuns& inputs,
                                                  KeptInput* kept, int* starts) {
#if defined(__x86_64__)
    if constexpr (Count == 16) return keep_inputs_with_avx512(in, inputs, kept, starts);
#endif
    return keep_inputs(in, inputs, kept, starts);
}

// Adds what the inputs give to the sums of `Pixels` outputs. An input's weights for the first lie
// `shift` floats further on, those for the next `Further` floats behind them.
template <int Pixels, int Further, int Count, int Groups>
[[gnu::always_inline]] inline void add_inputs(std::span<const KeptInput> inputs,
                                              const float* weights, int shift,
                                              Lanes<Count> (&sums)[Pixels][Groups]) {
    for (const KeptInput& input : inputs) {
        const float* own = weights + (input.weights + shift);
        each_below<Pixels>([&](auto p) __attribute__((always_inline)) {
            each_below<Groups>([&](auto g) __attribute__((always_inline)) {
                Lanes<Count> weight;
                weight.load(own + p * Further + g * Count);
                sums[p][g].add_product(input.value, weight);
            });
        });
    }
}

// A picture as the inputs of each row that are not zero; zero pixels stand on its left and right.
template <int Height, int Width, int Channels, int Outputs>
class KeptPicture {
  public:
    static constexpr int pixel_weights = Channels * Outputs;

    // `pixels`: row by row, channels side by side.
    template <int Count>
    [[gnu::always_inline]] inline void take(const float* pixels) {
        constexpr InputRuns row{Width, Channels, pixel_weights, Outputs};
        for (int y = 0; y < Height; ++y) {
            int* starts = starts_[y];
            starts[Width + 1] = starts[Width + 2] =
                keep_inputs_for<Count>(pixels + y * Width * Channels, row, inputs_[y], starts + 1);
        }
    }

    // The inputs of the pixel in the column and of its neighbours in the row.
    std::span<const KeptInput> three_about(int row, int column) const {
        const int from = starts_[row][column];
        const int to = starts_[row][column + 3];
        return {inputs_[row] + from, static_cast<std::size_t>(to - from)};
    }

  private:
    KeptInput inputs_[Height][Width * Channels + room_beyond_kept];
    int starts_[Height][Width + 3] = {};  // of each pixel, and of those that stand beside the row
};

template <int Count, int Groups>
[[gnu::always_inline]] inline void raise_all(float* most, const Lanes<Count> (&sums)[Groups]) {
    each_below<Groups>([&](auto g) __attribute__((always_inline)) {
        Lanes<Count> lanes;
        lanes.load(most + g * Count);
        lanes.raise_to(sums[g]);
        std::memcpy(most + g * Count, &lanes, sizeof lanes);
    });
}

// Raises what stands in one column of the pooled picture, `most`, to the sums of a 3x3 convolution
// along a column of the picture, for the first `Groups` registers of outputs. Each row of inputs
// counts for the pixels below it, beside it and above it, and is gone through once for all three.
template <int Groups, int Count, int Height, int Width, int In, int Out>
[[gnu::always_inline]] inline void raise_column(const KeptPicture<Height, Width, In, Out>& in,
                                                int column, const float* weights, const float* bias,
                                                float* most) {
    constexpr int pixel = In * Out;
    constexpr int most_row = Width / 2 * Out;
    Lanes<Count> sums[3][Groups];  // of the pixels in the rows y + 1, y and y - 1
    const auto begin = [&](auto pixel_sums) __attribute__((always_inline)) {
        each_below<Groups>([&](auto g) __attribute__((always_inline)) {
            sums[pixel_sums][g].load(bias + g * Count);
        });
    };
    begin(std::integral_constant<int, 1>{});
    begin(std::integral_constant<int, 2>{});
    for (int y = 0; y < Height; ++y) {
        begin(std::integral_constant<int, 0>{});
        add_inputs<3, 3 * pixel>(in.three_about(y, column), weights, -column * pixel, sums);
        if (y > 0) raise_all(most + (y - 1) / 2 * most_row, sums[2]);
        each_below<Groups>([&](auto g) __attribute__((always_inline)) {
            sums[2][g] = sums[1][g];
            sums[1][g] = sums[0][g];
        });
    }
    raise_all(most + (Height - 1) / 2 * most_row, sums[2]);
}

// 3x3 convolution, 2x2 maximum and rectifier in one go.
template <int Count, int Height, int Width, int In, int Out>
[[gnu::always_inline]] inline void convolve_and_pool(const KeptPicture<Height, Width, In, Out>& in,
                                                     const float* weights, const float* bias,
                                                     float* out) {
    constexpr int groups = Out / Count;
    constexpr int together = std::min(groups, 4);  // as registers allow
    std::fill_n(out, Height / 2 * Width / 2 * Out, 0.0F);
    for (int first = 0; first < Out; first += together * Count) {
        for (int x = 0; x < Width; ++x) {
            raise_column<together, Count>(in, x, weights + first, bias + first,
                                          out + x / 2 * Out + first);
        }
    }
}

// Raises `most` to the sums of a 3x3 convolution at the first `Pixels` of four that lie in a square
// of a picture of one channel; `window` is the top left of what the first pixel sees.
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
