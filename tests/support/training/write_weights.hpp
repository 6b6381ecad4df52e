// Writes trained weights as sources of the product and of its test.
#pragma once

#include <filesystem>

#include "support/training/training_net.hpp"

namespace sondeline::support {

// The weights as they come back from the source: whole numbers of eight bits times one scale per
// output.
NetWeights rounded(const NetWeights& net);

// src/footage/glyph_weights.cpp.
void write_weights(const NetWeights& net, const std::filesystem::path& source);

// tests/footage/glyph_known_answers.hpp: log-probabilities of patches made by a formula, computed
// from the rounded weights by the trainer's own forward pass.
void write_known_answers(const NetWeights& net, const std::filesystem::path& header);

}  // namespace sondeline::support
