// Patches of cells that stand side by side in one row of text, out of one picture after another.
//
// patch_from() for many cells: what hangs on where they lie is worked out once, and the rows of a
// picture are gone through once for all of them.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include <opencv2/core.hpp>

#include "footage/glyph_net.hpp"
#include "footage/sampling_taps.hpp"

namespace sondeline {

class CellSampler {
  public:
    // The cells have one top and one height.
    CellSampler(std::span<const cv::Rect2d> cells, Strokes strokes);

    std::size_t cells() const { return cells_.size(); }

    // What patch_from() gives for each cell, to the bit. `patches` must be as many as the cells;
    // std::invalid_argument otherwise. Cost: about a microsecond a cell for text of 20 px.
    void sample(const cv::Mat1b& luma, std::span<GlyphPatch> patches);

  private:
    void cut_strip(const cv::Mat1b& luma);
    // By the registers that there are; all give the same.
    template <int Count>
    GlyphPatch patch_by(const SamplingTaps<patch_width>& across);
    GlyphPatch patch_with_least(const SamplingTaps<patch_width>& across);
    GlyphPatch patch_with_avx2(const SamplingTaps<patch_width>& across);
    GlyphPatch patch_with_avx512(const SamplingTaps<patch_width>& across);
    using PatchOf = GlyphPatch (CellSampler::*)(const SamplingTaps<patch_width>&);
    static PatchOf patch_of_machine();

    std::vector<cv::Rect2d> cells_;
    Strokes strokes_;
    PatchOf patch_of_ = patch_of_machine();
    bool one_by_one_ = false;  // no strip holds them all
    SamplingTaps<patch_height> down_;
    std::vector<SamplingTaps<patch_width>> across_;
    int first_column_ = 0;  // of the strip, in the picture
    int columns_ = 0;
    int blocks_ = 0;  // of rows
    // Kept from picture to picture, so that memory is asked for once.
    std::vector<float> strip_;  // by block, column, row: rows lie side by side in a register
    std::vector<float> rows_;   // of one cell: by row, column of the patch
};

// For one picture.
std::vector<GlyphPatch> patches_from(const cv::Mat1b& luma, std::span<const cv::Rect2d> cells,
                                     Strokes strokes);

}  // namespace sondeline
