#include "support/training/write_weights.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <fstream>
#include <span>
#include <stdexcept>
#include <string>

#include <fmt/format.h>

#include "support/training/formula_patch.hpp"

namespace sondeline::support {

namespace {

constexpr float largest = 127.0F;
constexpr int known_answers = 5;

float scale_of(const Dense& layer, Eigen::Index output) {
    return std::max(layer.weights.col(output).cwiseAbs().maxCoeff(), 1e-12F) / largest;
}

int number_of(const Dense& layer, Eigen::Index input, Eigen::Index output) {
    const float number = layer.weights(input, output) / scale_of(layer, output);
    return static_cast<int>(std::lround(number));
}

// Joins words by commas into lines of at most 100 characters.
std::string in_lines(const std::vector<std::string>& words) {
    std::string text;
    std::string line = "   ";
    for (const std::string& word : words) {
        if (line.size() + word.size() + 2 > 100) {
            text += line + "\n";
            line = "   ";
        }
        line += " " + word + ",";
    }
    return text + line + "\n";
}

std::string floats(std::string_view type, std::string_view name, const std::vector<float>& values) {
    std::vector<std::string> words;
    for (const float value : values) words.push_back(fmt::format("{:.8e}F", value));
    return fmt::format("constexpr {} {}[] = {{\n{}}};\n\n", type, name, in_lines(words));
}

std::string layer_source(std::string_view name, const Dense& layer) {
    std::vector<std::string> numbers;
    for (Eigen::Index input = 0; input < layer.weights.rows(); ++input) {
        for (Eigen::Index output = 0; output < layer.weights.cols(); ++output) {
            numbers.push_back(fmt::format("{}", number_of(layer, input, output)));
        }
    }
    std::vector<float> scales;
    for (Eigen::Index output = 0; output < layer.weights.cols(); ++output) {
        scales.push_back(scale_of(layer, output));
    }
    const std::vector<float> bias(layer.bias.data(), layer.bias.data() + layer.bias.size());
    return fmt::format("constexpr std::int8_t {}_numbers[] = {{\n{}}};\n", name,
                       in_lines(numbers)) +
           floats("float", fmt::format("{}_scales", name), scales) +
           floats("float", fmt::format("{}_bias", name), bias);
}

void write_file(const std::filesystem::path& path, const std::string& text) {
    std::ofstream file(path);
    file << text;
    if (!file.flush()) throw std::runtime_error("cannot write " + path.string());
}

}  // namespace

NetWeights rounded(const NetWeights& net) {
    NetWeights result = net;
    for (Dense* layer : result.layers()) {
        const Dense exact = *layer;
        for (Eigen::Index output = 0; output < exact.weights.cols(); ++output) {
            for (Eigen::Index input = 0; input < exact.weights.rows(); ++input) {
                layer->weights(input, output) =
                    static_cast<float>(number_of(exact, input, output)) * scale_of(exact, output);
            }
        }
    }
    return result;
}

void write_weights(const NetWeights& net, const std::filesystem::path& source) {
    std::string text =
        "// Written by train_glyphs; do not edit.\n"
        "// clang-format off\n"
        "#include \"footage/glyph_weights.hpp\"\n\n"
        "namespace sondeline {\n\nnamespace {\n\n";
    text += layer_source("first_convolution", net.first_convolution);
    text += layer_source("second_convolution", net.second_convolution);
    text += layer_source("hidden", net.hidden);
    text += layer_source("last", net.last);
    text += "}  // namespace\n\nStoredNet stored_glyph_net() {\n    return {\n";
    for (const std::string_view name :
         {"first_convolution", "second_convolution", "hidden", "last"}) {
        text += fmt::format("        {{{0}_numbers, {0}_scales, {0}_bias}},\n", name);
    }
    text += "    };\n}\n\n}  // namespace sondeline\n";
    write_file(source, text);
}

void write_known_answers(const NetWeights& net, const std::filesystem::path& header) {
    Rows patches(known_answers, patch_width * patch_height);
    for (int i = 0; i < known_answers; ++i) patches.row(i) = normalised(formula_patch(i));
    const Rows answers = log_probabilities(rounded(net), patches);
    std::string text =
        "// Written by train_glyphs together with the weights; do not edit.\n"
        "// clang-format off\n"
        "#pragma once\n\n"
        "#include \"footage/glyph_net.hpp\"\n\n"
        "// Log-probabilities of formula_patch(0), (1)…, by the trainer's own forward pass.\n"
        "inline constexpr sondeline::GlyphLogProbs known_answers[] = {\n";
    for (int i = 0; i < known_answers; ++i) {
        std::vector<std::string> words;
        for (const float value : answers.row(i)) words.push_back(fmt::format("{:.5f}F", value));
        text += "    {\n" + in_lines(words) + "    },\n";
    }
    text += "};\n";
    write_file(header, text);
}

}  // namespace sondeline::support
