// What became of the clips of the matrix, and how it is printed.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "bench/clip_score.hpp"
#include "bench/matrix_clip.hpp"
#include "bench/read_cost.hpp"
#include "bench/tesseract_column.hpp"

namespace sondeline::bench {

struct Outcome {
    MatrixClip clip;
    ClipScore score;
    bool found = false;
    bool unit_wrong = false;
    std::string pattern;
    std::string doubts;
    double cpu_s = 0.0;
    double decode_cpu_s = 0.0;
    std::optional<PeerColumn> peer;

    bool readable() const { return clip.has_counter; }
    bool reach_exact() const { return score.reach_off_ticks == 0.0; }
    bool reach_off() const;
    bool structural() const { return (score.structurally_wrong() || unit_wrong) && !score.doubted; }
};

// The conditions of the run: which half, which faces were kept from training, what the peer is.
void print_head(Half half, int tesseract_every);

void print_clip(std::uint64_t number, const Outcome& outcome);

// A row for each kind of clip and of face, each followed by the peer's figures on the same samples;
// then false counters among the clips that show none.
void print_groups(const std::vector<Outcome>& outcomes);

void print_costs(const std::vector<CodecCost>& costs);

}  // namespace sondeline::bench
