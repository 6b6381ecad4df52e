// From the edges that stand still to rows of text and the words in them.
#pragma once

#include <vector>

#include <opencv2/core.hpp>

namespace sondeline {

// What the sums say about every pixel.
struct Edges {
    cv::Mat1f coherence;
    cv::Mat1b ink;       // 255 where a gradient stands still
    cv::Mat1i across;    // sum of horizontal gradients
    cv::Mat1f luma;      // mean over the frames
    cv::Mat1f restless;  // standard deviation over the frames
    int rows_apart = 1;  // rows of the picture from one row here to the next: 2 for one field
};

// Text taller than this is no overlay, in rows of a picture of so many.
int tallest_text(int rows);

// Boxes of pieces of text that stand side by side with no more than a blank between them.
std::vector<cv::Rect> text_rows(const Edges& edges);

// The words of a row, left to right: pieces with gaps of more than most of a blank between them.
std::vector<cv::Rect> words_of(const Edges& edges, const cv::Rect& row);

// Changes of sign of the horizontal gradient along the rows, per row and per height of width: about
// three to eight for text, near none for rules, box edges and the rim of the lens.
// `height` is that of the characters, of which the box may hold a part.
double alternation(const Edges& edges, const cv::Rect& box, int height);

// Share of the ink in the box whose gradient came and went: glyphs that changed.
double restless_share(const Edges& edges, const cv::Rect& box);

// The fields of a row: what stands in boxes of its own, and in a long part with several fields
// apart by single blanks the words that changed during the clip and what stands between them.
std::vector<cv::Rect> fields_of(const Edges& edges, const cv::Rect& row);

}  // namespace sondeline
