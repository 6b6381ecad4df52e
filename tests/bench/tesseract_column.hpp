// Tesseract as a reference for the counter reader: it is given, of every sampled frame, the crop
// that our own finder found, and its readings go through our own model of how a reel moves.
#pragma once

#include <filesystem>
#include <optional>

#include "bench/clip_score.hpp"

namespace sondeline::bench {

struct PeerColumn {
    ClipScore ours;      // on the samples that Tesseract was given, for a fair comparison
    ClipScore as_read;   // Tesseract's own text, frame by frame
    ClipScore smoothed;  // the same through our sequence model, at the same least probability
    long crops = 0;
    double peer_cpu_s = 0.0;  // preparing and recognising the crops
    double ours_cpu_s = 0.0;  // everything read_clip does beside decoding, per clip
    long our_samples = 0;
};

void add(PeerColumn& sum, const PeerColumn& more);

// How Tesseract is called and what helps it, in a few lines for the head of a table.
const char* peer_words();

// Reads every `every`-th sample of `ours` (10 a second) by Tesseract: C++ API, one thread, single
// line, digits only, crop scaled to 60 px, Otsu's threshold, dark on light. `ours_cpu_s`: what
// read_clip took, decoding included. Empty when our reader found no counter, or when the program
// was built without Tesseract.
std::optional<PeerColumn> read_by_tesseract(const std::filesystem::path& clip, const Track& ours,
                                            const std::vector<ShownAt>& truth, int every,
                                            double ours_cpu_s);

}  // namespace sondeline::bench
