#include "footage/glyph_layers.hpp"

#if defined(__x86_64__)

#include <immintrin.h>

namespace sondeline {

[[gnu::target("avx512f,popcnt")]] int keep_inputs_with_avx512(const float* in,
                                                              const InputRuns& inputs,
                                                              KeptInput* kept, int* starts) {
    const __m512i lower = _mm512_setr_epi32(0, 16, 1, 17, 2, 18, 3, 19, 4, 20, 5, 21, 6, 22, 7, 23);
    const __m512i upper = _mm512_add_epi32(lower, _mm512_set1_epi32(8));
    const __m512i sixteen_further = _mm512_set1_epi32(16 * inputs.outputs);
    const __m512i numbers = _mm512_setr_epi32(0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15);
    __m512i weights =
        _mm512_add_epi32(_mm512_set1_epi32(inputs.weights),
                         _mm512_mullo_epi32(numbers, _mm512_set1_epi32(inputs.outputs)));
    int found = 0;
    for (int run = 0; run < inputs.runs; ++run) {
        starts[run] = found;
        for (int i = 0; i < inputs.length; i += 16, in += 16) {
            const __m512i values = _mm512_loadu_si512(in);
            const __mmask16 kept_here = _mm512_test_epi32_mask(values, values);
            const __m512i own_values = _mm512_maskz_compress_epi32(kept_here, values);
            const __m512i own_weights = _mm512_maskz_compress_epi32(kept_here, weights);
            _mm512_storeu_si512(kept + found,
                                _mm512_permutex2var_epi32(own_values, lower, own_weights));
            _mm512_storeu_si512(kept + found + 8,
                                _mm512_permutex2var_epi32(own_values, upper, own_weights));
            found += __builtin_popcount(kept_here);
            weights = _mm512_add_epi32(weights, sixteen_further);
        }
    }
    return found;
}

}  // namespace sondeline

#endif
