// The clips that the counter reader is measured on: faces × styles × sizes × codecs × formats ×
// company × push stories, drawn by seed. Everything here is invented.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "sondeline/footage.hpp"

#include "support/scenario.hpp"

namespace sondeline::bench {

// Settings of the reader are chosen on `tuning`; figures are quoted from `judged`. No seed and no
// family of faces that was kept from training is in both.
enum class Half { tuning, judged };

// From this number on the clips of the tuning half show displays drawn by program and large heavy
// type, in faces that the network was not trained on.
inline constexpr std::uint64_t first_further_look = 1000;

struct MatrixClip {
    std::string words;   // face, height, style, codec: for the reader of the table
    std::string family;  // of the counter's face
    bool held_out = false;
    bool hard = false;  // under 18 px, 0.8 Mbit/s, plain on bright, interlaced, or segments
    bool has_counter = true;
    CounterUnit unit = CounterUnit::unknown;  // that the overlay says
    std::string extension;                    // "mp4"
    support::Scenario scenario;
};

// The families of faces that the network was never trained on and that this half shows, by name.
std::vector<std::string> unseen_families(Half half);

// The clip of this number. The same number gives the same clip.
MatrixClip matrix_clip(Half half, std::uint64_t number);

}  // namespace sondeline::bench
