// Trains the glyph network on invented overlay text and writes its weights.
//
//   train_glyphs <source tree> [rounds] [seed]
//
// Writes src/footage/glyph_weights.cpp and tests/footage/glyph_known_answers.hpp, and prints how
// well the faces that were kept from training are read. One thread; the same tree, fonts and
// arguments give the same weights on the same kind of machine.
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <map>
#include <numbers>
#include <numeric>
#include <string>
#include <vector>

#include <fmt/core.h>

#include "support/training/chance.hpp"
#include "support/training/faces.hpp"
#include "support/training/glyph_samples.hpp"
#include "support/training/training_net.hpp"
#include "support/training/write_weights.hpp"

namespace sondeline::support {

namespace {

constexpr int batch = 64;
constexpr std::size_t samples_a_round = 40000;
constexpr int default_rounds = 200;
// Of the lines.
constexpr double invented_share = 0.27;
constexpr double character_set_share = 0.13;
constexpr double further_share = 0.2;
constexpr float top_rate = 2e-3F;

// Faces by family, so that a family of many weights does not outweigh the others.
class FaceChoice {
  public:
    explicit FaceChoice(std::vector<FaceFile> faces) {
        for (FaceFile& face : faces) families_[face.family].push_back(std::move(face.file));
        for (const auto& [name, files] : families_) names_.push_back(name);
    }

    std::size_t families() const { return names_.size(); }

    const std::filesystem::path& draw(cv::RNG& chance) const {
        return one_of(chance, families_.at(one_of(chance, names_)));
    }

  private:
    template <class T>
    static const T& one_of(cv::RNG& chance, const std::vector<T>& all) {
        return all[static_cast<std::size_t>(chance.uniform(0, static_cast<int>(all.size())))];
    }

    std::map<std::string, std::vector<std::filesystem::path>> families_;
    std::vector<std::string> names_;
};

struct Faces {
    std::vector<FaceFile> named = training_faces();
    FaceChoice further{further_training_faces()};
    FaceChoice character_sets{display_character_sets()};
};

void add_line(cv::RNG& chance, const Faces& faces, std::vector<GlyphSample>& samples) {
    const SampleOptions options{.with_warp = true};
    double kind = between(chance, 0.0, 1.0);
    if (kind < invented_share) {
        add_invented_line_samples(chance, options, samples);
        return;
    }
    kind -= invented_share;
    if (kind < character_set_share) {
        add_line_samples(chance, faces.character_sets.draw(chance), options, samples);
        return;
    }
    if (kind < character_set_share + further_share) {
        add_line_samples(chance, faces.further.draw(chance), options, samples);
        return;
    }
    const auto face = chance.uniform(0, static_cast<int>(faces.named.size()));
    add_line_samples(chance, faces.named[static_cast<std::size_t>(face)].file, options, samples);
}

std::vector<GlyphSample> fresh_samples(cv::RNG& chance, const Faces& faces, std::size_t count) {
    std::vector<GlyphSample> samples;
    while (samples.size() < count) add_line(chance, faces, samples);
    return samples;
}

Row wanted_shares(const GlyphSample& sample) {
    Row shares = Row::Zero(glyph_count);
    shares(static_cast<int>(sample.glyph)) += 1.0F - sample.other_share;
    shares(static_cast<int>(sample.other)) += sample.other_share;
    return shares;
}

// From the top rate down to nothing along a half cosine, after a short climb.
float rate_at(double done) {
    const double climb = std::min(1.0, done / 0.01);
    return static_cast<float>(top_rate * climb * 0.5 * (1.0 + std::cos(std::numbers::pi * done)));
}

double train_round(Trainer& trainer, cv::RNG& chance, const Faces& faces, int round, int rounds) {
    const std::vector<GlyphSample> samples = fresh_samples(chance, faces, samples_a_round);
    std::vector<std::size_t> order(samples.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    for (std::size_t i = order.size(); i > 1; --i) {
        std::swap(order[i - 1],
                  order[static_cast<std::size_t>(chance.uniform(0, static_cast<int>(i)))]);
    }
    const std::size_t batches = samples.size() / batch;
    double loss = 0.0;
    Rows patches(batch, patch_width * patch_height);
    Rows wanted(batch, glyph_count);
    for (std::size_t b = 0; b < batches; ++b) {
        for (int i = 0; i < batch; ++i) {
            const GlyphSample& sample = samples[order[b * batch + static_cast<std::size_t>(i)]];
            patches.row(i) = normalised(sample.patch);
            wanted.row(i) = wanted_shares(sample);
        }
        const double done =
            (round + static_cast<double>(b) / static_cast<double>(batches)) / rounds;
        loss += trainer.step(patches, wanted, rate_at(done));
    }
    return loss / static_cast<double>(batches);
}

// One digit read: was it right, and how sure was the network of it among the digits.
struct Reading {
    bool right = false;
    float sure = 0.0F;
};

std::vector<Reading> read_digits(const NetWeights& net, const std::vector<GlyphSample>& samples) {
    std::vector<Reading> readings;
    for (const GlyphSample& sample : samples) {
        if (sample.glyph > Glyph::digit_9 || sample.other_share > 0.0F) continue;
        const Rows log_probs = log_probabilities(net, normalised(sample.patch));
        Eigen::Index best = 0;
        const float sure = log_probs.row(0).maxCoeff(&best);
        readings.push_back({best == static_cast<Eigen::Index>(sample.glyph), sure});
    }
    return readings;
}

double share_right(const std::vector<Reading>& readings) {
    const auto right = std::count_if(readings.begin(), readings.end(),
                                     [](const Reading& reading) { return reading.right; });
    return static_cast<double>(right) /
           static_cast<double>(std::max<std::size_t>(1, readings.size()));
}

double error_at(std::vector<Reading> readings, double coverage) {
    std::stable_sort(readings.begin(), readings.end(),
                     [](const Reading& a, const Reading& b) { return a.sure > b.sure; });
    readings.resize(static_cast<std::size_t>(coverage * static_cast<double>(readings.size())));
    return 1.0 - share_right(readings);
}

// Digits of the faces kept from training.
void print_held_out(const NetWeights& net) {
    constexpr int lines_a_face = 120;
    cv::RNG chance(977);
    std::vector<Reading> all;
    for (const FaceFile& face : held_out_faces()) {
        std::vector<GlyphSample> samples;
        for (int i = 0; i < lines_a_face; ++i) {
            add_line_samples(chance, face.file, {false, false, 14.0, 40.0}, samples);
        }
        const auto readings = read_digits(net, samples);
        fmt::print("  {:<16} {:<28} {:5d} digits {:6.2f} % right\n", face.family,
                   face.file.stem().string(), readings.size(), 100.0 * share_right(readings));
        all.insert(all.end(), readings.begin(), readings.end());
    }
    fmt::print(
        "held out: {} digits, {:.2f} % right; wrong at 95 % coverage {:.2f} %, at 90 % {:.2f} %\n",
        all.size(), 100.0 * share_right(all), 100.0 * error_at(all, 0.95),
        100.0 * error_at(all, 0.90));
}

int train(const std::filesystem::path& tree, int rounds, std::uint64_t seed) {
    cv::RNG chance(seed);
    Trainer trainer(random_weights(chance), seed + 1);
    const Faces faces;
    if (faces.further.families() == 0 || faces.character_sets.families() == 0) {
        fmt::print(stderr, "The packages of kind `training` are not installed.\n");
        return EXIT_FAILURE;
    }
    for (int round = 0; round < rounds; ++round) {
        const double loss = train_round(trainer, chance, faces, round, rounds);
        fmt::print("round {:3d}: loss {:.4f}\n", round + 1, loss);
        std::fflush(stdout);
    }
    print_held_out(rounded(trainer.weights()));
    write_weights(trainer.weights(), tree / "src/footage/glyph_weights.cpp");
    write_known_answers(trainer.weights(), tree / "tests/footage/glyph_known_answers.hpp");
    return EXIT_SUCCESS;
}

}  // namespace

}  // namespace sondeline::support

int main(int argc, char** argv) {
    if (argc < 2 || argc > 4) {
        fmt::print(stderr, "usage: train_glyphs <source tree> [rounds] [seed]\n");
        return EXIT_FAILURE;
    }
    const int rounds =
        argc > 2 ? std::max(1, std::atoi(argv[2])) : sondeline::support::default_rounds;
    const auto seed = argc > 3 ? std::strtoull(argv[3], nullptr, 10) : 20260514ULL;
    return sondeline::support::train(argv[1], rounds, seed);
}
