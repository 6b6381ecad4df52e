// The glyph network in a form that can be trained: forward and backward over a batch, and Adam.
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include <Eigen/Core>
#include <opencv2/core.hpp>

#include "support/training/glyph_samples.hpp"

namespace sondeline::support {

using Rows = Eigen::Matrix<float, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;
using Row = Eigen::Matrix<float, 1, Eigen::Dynamic>;

// outputs = inputs · weights + bias, one row of inputs per cell or per sample.
struct Dense {
    Rows weights;
    Row bias;
};

inline constexpr int channels_1 = 16;
inline constexpr int channels_2 = 32;

struct NetWeights {
    Dense first_convolution;   // 9 → channels_1
    Dense second_convolution;  // 9 · channels_1 → channels_2
    Dense hidden;              // 6 · 4 · channels_2 → glyph_feature_count
    Dense last;                // glyph_feature_count → glyph_count

    std::array<Dense*, 4> layers();
};

// Uniform by He et al., "Delving deep into rectifiers" (2015), section 2.2; last layer small.
NetWeights random_weights(cv::RNG& chance);

// Zero mean and unit standard deviation, as classify() does.
Row normalised(const GlyphPatch& patch);

// Log-probabilities, one row per patch.
Rows log_probabilities(const NetWeights& net, const Rows& patches);

// Stochastic descent by Adam (Kingma and Ba 2015, algorithm 1) with decoupled weight decay.
class Trainer {
  public:
    Trainer(NetWeights start, std::uint64_t seed);

    // One step on one batch of normalised patches; `wanted` holds one row of class shares per
    // patch. Gives the mean cross-entropy before the step.
    double step(const Rows& patches, const Rows& wanted, float rate);

    const NetWeights& weights() const { return net_; }

  private:
    NetWeights net_;
    NetWeights mean_;    // of the gradient
    NetWeights square_;  // of its square
    int steps_ = 0;
    cv::RNG chance_;
};

}  // namespace sondeline::support
