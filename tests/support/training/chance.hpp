// Draws from a seeded generator, in words.
#pragma once

#include <cmath>
#include <string_view>

#include <opencv2/core.hpp>

namespace sondeline::support {

inline double between(cv::RNG& chance, double low, double high) {
    return chance.uniform(low, high);
}

inline int whole_between(cv::RNG& chance, int low, int high_included) {
    return chance.uniform(low, high_included + 1);
}

inline bool happens(cv::RNG& chance, double probability) {
    return chance.uniform(0.0, 1.0) < probability;
}

// Sizes spread evenly by ratio.
inline double by_ratio(cv::RNG& chance, double low, double high) {
    return std::exp(chance.uniform(std::log(low), std::log(high)));
}

inline char one_of(cv::RNG& chance, std::string_view characters) {
    return characters[static_cast<std::size_t>(
        chance.uniform(0, static_cast<int>(characters.size())))];
}

}  // namespace sondeline::support
