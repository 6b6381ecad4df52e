#include "support/training/training_net.hpp"

#include <algorithm>
#include <cmath>

namespace sondeline::support {

namespace {

// A batch of pictures: one row per pixel (sample by sample, row by row), one column per channel.
struct Pictures {
    int height = 0;
    int width = 0;
    Rows pixels;
};

// The 3x3 window about every pixel as one row; outside is zero.
Rows windows(const Pictures& in) {
    const auto channels = in.pixels.cols();
    Rows all = Rows::Zero(in.pixels.rows(), 9 * channels);
    for (Eigen::Index pixel = 0; pixel < in.pixels.rows(); ++pixel) {
        const auto x = static_cast<int>(pixel % in.width);
        const auto y = static_cast<int>(pixel / in.width % in.height);
        for (int tap = 0; tap < 9; ++tap) {
            const int dy = tap / 3 - 1;
            const int dx = tap % 3 - 1;
            if (y + dy < 0 || y + dy >= in.height || x + dx < 0 || x + dx >= in.width) continue;
            all.row(pixel).segment(tap * channels, channels) =
                in.pixels.row(pixel + dy * in.width + dx);
        }
    }
    return all;
}

// The gradient of windows(): every window's share back to its pixels.
Rows from_windows(const Rows& gradient, int height, int width) {
    const auto channels = gradient.cols() / 9;
    Rows pixels = Rows::Zero(gradient.rows(), channels);
    for (Eigen::Index pixel = 0; pixel < gradient.rows(); ++pixel) {
        const auto x = static_cast<int>(pixel % width);
        const auto y = static_cast<int>(pixel / width % height);
        for (int tap = 0; tap < 9; ++tap) {
            const int dy = tap / 3 - 1;
            const int dx = tap % 3 - 1;
            if (y + dy < 0 || y + dy >= height || x + dx < 0 || x + dx >= width) continue;
            pixels.row(pixel + dy * width + dx) +=
                gradient.row(pixel).segment(tap * channels, channels);
        }
    }
    return pixels;
}

Rows through(const Dense& layer, const Rows& in) {
    Rows out = in * layer.weights;
    out.rowwise() += layer.bias;
    return out;
}

// 2x2 maximum and rectifier; `winner` is the row that each output came from, or -1 at zero.
Pictures pooled(const Rows& pixels, int height, int width, std::vector<Eigen::Index>& winner) {
    Pictures out{height / 2, width / 2, {}};
    const auto channels = pixels.cols();
    out.pixels.resize(pixels.rows() / 4, channels);
    winner.assign(static_cast<std::size_t>(out.pixels.size()), -1);
    for (Eigen::Index to = 0; to < out.pixels.rows(); ++to) {
        const Eigen::Index x = to % out.width * 2;
        const Eigen::Index line = to / out.width * 2;
        for (Eigen::Index c = 0; c < channels; ++c) {
            float best = 0.0F;
            auto& from = winner[static_cast<std::size_t>(to * channels + c)];
            for (int i = 0; i < 4; ++i) {
                const Eigen::Index row = (line + i / 2) * width + x + i % 2;
                if (pixels(row, c) > best) {
                    best = pixels(row, c);
                    from = row;
                }
            }
            out.pixels(to, c) = best;
        }
    }
    return out;
}

Rows unpooled(const Rows& gradient, Eigen::Index pixels, const std::vector<Eigen::Index>& winner) {
    Rows out = Rows::Zero(pixels, gradient.cols());
    for (Eigen::Index i = 0; i < gradient.size(); ++i) {
        const Eigen::Index from = winner[static_cast<std::size_t>(i)];
        if (from >= 0) out(from, i % gradient.cols()) += gradient.data()[i];
    }
    return out;
}

Rows log_softmax(Rows scores) {
    for (Eigen::Index i = 0; i < scores.rows(); ++i) {
        auto row = scores.row(i).array();
        row -= row.maxCoeff();
        row -= std::log(row.exp().sum());
    }
    return scores;
}

Rows reshaped(const Rows& in, Eigen::Index rows) {
    return Eigen::Map<const Rows>(in.data(), rows, in.size() / rows);
}

// Everything that the backward pass needs of the forward pass.
struct Pass {
    Rows windows_1;
    Rows windows_2;
    std::vector<Eigen::Index> winner_1;
    std::vector<Eigen::Index> winner_2;
    Rows flat;
    Rows features;
    Rows log_probabilities;
};

Pass forward(const NetWeights& net, const Rows& patches) {
    Pass pass;
    const Pictures in{patch_height, patch_width, reshaped(patches, patches.size())};
    pass.windows_1 = windows(in);
    const Pictures half = pooled(through(net.first_convolution, pass.windows_1), patch_height,
                                 patch_width, pass.winner_1);
    pass.windows_2 = windows(half);
    const Pictures quarter = pooled(through(net.second_convolution, pass.windows_2), half.height,
                                    half.width, pass.winner_2);
    pass.flat = reshaped(quarter.pixels, patches.rows());
    pass.features = through(net.hidden, pass.flat).cwiseMax(0.0F);
    pass.log_probabilities = log_softmax(through(net.last, pass.features));
    return pass;
}

Dense gradient_of(const Rows& in, const Rows& out_gradient) {
    return {in.transpose() * out_gradient, out_gradient.colwise().sum()};
}

Dense random_dense(cv::RNG& chance, int inputs, int outputs, double gain) {
    Dense layer{Rows(inputs, outputs), Row::Zero(outputs)};
    const double bound = gain * std::sqrt(6.0 / inputs);
    for (Eigen::Index i = 0; i < layer.weights.size(); ++i) {
        layer.weights.data()[i] = static_cast<float>(chance.uniform(-bound, bound));
    }
    return layer;
}

NetWeights zeros_like(NetWeights net) {
    for (Dense* layer : net.layers()) {
        layer->weights.setZero();
        layer->bias.setZero();
    }
    return net;
}

// One tensor's step of Adam.
template <typename Tensor>
void descend(Tensor& value, Tensor& mean, Tensor& square, const Tensor& gradient, float rate,
             int steps) {
    constexpr float keep_mean = 0.9F;
    constexpr float keep_square = 0.999F;
    mean = keep_mean * mean + (1.0F - keep_mean) * gradient;
    square = keep_square * square + (1.0F - keep_square) * gradient.cwiseAbs2();
    const float unbiased_mean = 1.0F / (1.0F - std::pow(keep_mean, static_cast<float>(steps)));
    const float unbiased_square = 1.0F / (1.0F - std::pow(keep_square, static_cast<float>(steps)));
    value.array() -=
        rate * unbiased_mean * mean.array() / ((unbiased_square * square.array()).sqrt() + 1e-8F);
}

}  // namespace

std::array<Dense*, 4> NetWeights::layers() {
    return {&first_convolution, &second_convolution, &hidden, &last};
}

NetWeights random_weights(cv::RNG& chance) {
    NetWeights net;
    net.first_convolution = random_dense(chance, 9, channels_1, 1.0);
    net.second_convolution = random_dense(chance, 9 * channels_1, channels_2, 1.0);
    net.hidden = random_dense(chance, patch_height / 4 * (patch_width / 4) * channels_2,
                              glyph_feature_count, 1.0);
    net.last = random_dense(chance, glyph_feature_count, glyph_count, 0.1);
    return net;
}

Row normalised(const GlyphPatch& patch) {
    const Eigen::Map<const Row> raw(patch.data(), patch_width * patch_height);
    const Row centred = raw.array() - raw.mean();
    const float deviation = std::sqrt(centred.squaredNorm() / static_cast<float>(raw.size()));
    if (deviation < 1e-3F) return Row::Zero(raw.size());
    return centred / deviation;
}

Rows log_probabilities(const NetWeights& net, const Rows& patches) {
    return forward(net, patches).log_probabilities;
}

Trainer::Trainer(NetWeights start, std::uint64_t seed)
    : net_(std::move(start)), mean_(zeros_like(net_)), square_(zeros_like(net_)), chance_(seed) {}

double Trainer::step(const Rows& patches, const Rows& wanted, float rate) {
    const Pass pass = forward(net_, patches);
    const auto count = static_cast<float>(patches.rows());
    NetWeights gradient;
    const Rows at_scores = (pass.log_probabilities.array().exp().matrix() - wanted) / count;
    gradient.last = gradient_of(pass.features, at_scores);
    const Rows at_features = ((at_scores * net_.last.weights.transpose()).array() *
                              (pass.features.array() > 0.0F).cast<float>())
                                 .matrix();
    gradient.hidden = gradient_of(pass.flat, at_features);
    const Rows at_flat = at_features * net_.hidden.weights.transpose();
    const Rows at_quarter = reshaped(at_flat, at_flat.size() / channels_2);
    const Rows at_second = unpooled(at_quarter, pass.windows_2.rows(), pass.winner_2);
    gradient.second_convolution = gradient_of(pass.windows_2, at_second);
    const Rows at_half = from_windows(at_second * net_.second_convolution.weights.transpose(),
                                      patch_height / 2, patch_width / 2);
    const Rows at_first = unpooled(at_half, pass.windows_1.rows(), pass.winner_1);
    gradient.first_convolution = gradient_of(pass.windows_1, at_first);

    ++steps_;
    constexpr float decay = 1e-2F;  // of the weights, per unit of rate
    for (std::size_t i = 0; i < net_.layers().size(); ++i) {
        Dense& layer = *net_.layers()[i];
        layer.weights *= 1.0F - rate * decay;
        descend(layer.weights, mean_.layers()[i]->weights, square_.layers()[i]->weights,
                gradient.layers()[i]->weights, rate, steps_);
        descend(layer.bias, mean_.layers()[i]->bias, square_.layers()[i]->bias,
                gradient.layers()[i]->bias, rate, steps_);
    }
    return -(wanted.array() * pass.log_probabilities.array()).sum() / static_cast<double>(count);
}

}  // namespace sondeline::support
