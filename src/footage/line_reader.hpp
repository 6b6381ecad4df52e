// Reading one located line of overlay text: its cell grid once per clip, soft evidence once per
// sampled frame, the most probable sequence of values once all evidence is there.
//
// read_clip calls, for every line that the overlay search found:
//   1. find_line_structures() on a few hundred crops: sampled frames of the first minutes in time
//      order, and key frames spread over the rest of the clip;
//   2. line_evidence() for every sampled frame of the clip, for the best few structures only;
//   3. decode_line() once per structure, at the end of the clip.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include <opencv2/core.hpp>

#include "sondeline/footage.hpp"

#include "footage/counter_format.hpp"
#include "footage/glyph_net.hpp"

namespace sondeline {

struct OwnGlyphs;  // own_glyphs.hpp

// What the strokes of a line leave open: rows of dots that stand apart (light strokes), or what an
// outline surrounds and is as bright as the scene (then the outlines are dark strokes). Where the
// scene behind a line is now lighter than its type and now as dark as its outlines, the outlines
// alone look alike throughout.
enum class StrokeGaps { none, of_light, of_dark, of_outlines_alone };

// A line of text fixed in the picture, as located.
struct LocatedLine {
    PixelBox crop;              // what is cut out of each picture: the text and a margin about it
    PixelBox text;              // the text within the crop; an end digit that is often blank may
                                // lie outside it, in the margin
    bool light_on_dark = true;  // strokes lighter than what is around them
    bool interlaced = false;    // odd and even rows were taken at different times
    double samples_per_s = 10.0;
    // Closed in the crops before anything reads them: with_gaps_closed() in stroke_gaps.hpp.
    StrokeGaps gaps = StrokeGaps::none;
};

// The line in one frame. Crops of a line all have the size of LocatedLine::crop and own their
// pixels (luma, full rows of both fields when interlaced).
struct LineCrop {
    double time_s = 0.0;
    cv::Mat1b luma;
    // Mean absolute difference, in grey levels, of a coarse picture outside the overlay between
    // this frame and the sample before it; about 0.3 to 1 when the head rests, several when it
    // moves. Negative for the first crop and for key frames out of sequence: not known.
    float picture_motion = -1.0F;
};

// What one frame says about the cells of one structure; small, because one is kept per sample.
struct LineEvidence {
    double time_s = 0.0;
    float picture_motion = -1.0F;
    CellCosts cost{};
    // How clearly strokes stand out in each cell: a quarter of the root mean square of second
    // differences of its greys, across and down. Light that changes evenly over a cell adds
    // nothing.
    std::array<std::uint8_t, most_line_cells> edges{};
};

// The same of one of the crops of the search.
struct SeenCrop {
    std::size_t crop = 0;
    LineEvidence evidence;
};

// How a line is laid out in cells. Several structures of one line may compete.
struct LineStructure {
    LocatedLine line;
    CounterFormat format;  // as far as known; box in pixels of the stored picture
    // Mean log-probability per crop of the best sequence over the crops of the search, over that of
    // "not readable": comparable between structures and between lines of a clip. Higher is better.
    double score = 0.0;
    double counter_probability = 0.0;  // as LineReading's, from the crops of the search
    double share_read = 0.0;           // of the crops of the search, for sure
    float row_top_px = 0.0F;           // of the cells, in the crop
    float row_height_px = 0.0F;
    // All cells that any value needs (digits, sign, blank leading places), in the order of
    // CounterShape's cells; where the layout moves they may overlap. At most most_line_cells.
    std::vector<float> cell_left_px;
    std::vector<float> cell_width_px;
    CounterShape shape;
    Padding padding = Padding::zeros;
    // What this line's own glyphs taught, when that was better; shared by copies of the structure,
    // never changed.
    std::shared_ptr<const OwnGlyphs> own_glyphs;
    std::string doubt;  // another structure that is nearly as good, in plain words; else empty
    // What line_evidence() would give for those crops that the search has looked at, in their
    // order.
    std::vector<SeenCrop> seen;
};

enum class LineKind { counter, clock, date, still_text, unreadable };

// Why a sample is without a value.
enum class Unread { no, unsure, between_values, text_hidden, near_a_jump };

struct LineSample {
    std::int64_t ticks = 0;    // value in steps of the last digit; 0 when unread
    float probability = 0.0F;  // that `ticks` is right
    Unread unread = Unread::no;
    bool was_set = false;  // the counter was set since the reading before, however long ago that is
};

struct LineReading {
    LineKind kind = LineKind::unreadable;
    // How probable it is that the line is a reel counter, from how its value behaves.
    double counter_probability = 0.0;
    CounterFormat format;             // box in pixels of the stored picture
    std::vector<LineSample> samples;  // one per evidence, same order
    double score = 0.0;               // as LineStructure::score, over the whole clip
    // What else it could be, in plain words ("the decimal point could stand one place further
    // left"), when a competing reading is nearly as good; else empty.
    std::string doubt;
};

struct LineReaderOptions {
    double min_probability = 0.98;  // below it a sample is unread
};

// Rows and pitch of the digits about a colon or a slash, in pixels of the crop.
struct MarkedBand {
    double top_px = 0.0;
    double height_px = 0.0;
    double pitch_px = 0.0;
};

struct LineSearch {
    // Structures of the line that could be a running number, best first, at most three; empty when
    // the line cannot be one.
    std::vector<LineStructure> structures;
    // What the line is when there is no structure: clock, date, still_text or unreadable.
    LineKind kind = LineKind::unreadable;
    std::optional<MarkedBand> marked;  // of a clock or a date
};

// Deterministic. Cheap for lines that are still or hold no digits.
LineSearch find_line_structures(const LocatedLine& line, std::span<const LineCrop> crops,
                                const GlyphNet& net, const LineReaderOptions& options = {});

// The crop must be of the structure's line.
LineEvidence line_evidence(const LineCrop& crop, const LineStructure& structure,
                           const GlyphNet& net);

// Evidence in time order, key frames out of sequence left out.
LineReading decode_line(const LineStructure& structure, std::span<const LineEvidence> evidence,
                        const LineReaderOptions& options = {});

}  // namespace sondeline
