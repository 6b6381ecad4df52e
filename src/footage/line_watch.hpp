// The lines of overlay text of one clip, watched from its first to its last sampled frame.
#pragma once

#include <span>
#include <vector>

#include "footage/inclination.hpp"
#include "footage/line_reader.hpp"
#include "footage/look_around.hpp"
#include "footage/overlay_clock.hpp"

namespace sondeline {

// What became of one line.
struct WatchedLine {
    PixelBox box;  // of the text, in the stored picture
    LineKind kind = LineKind::unreadable;
    std::vector<LineReading> readings;   // of its structures that were followed to the end
    std::vector<InclinationUnit> marks;  // behind the number of each of the readings
    ClockReading clock;                  // of a clock or a date
    bool upside_down = false;            // was read with the picture turned by half a turn
};

// Keeps crops of the first samples until the structures of all lines are sought; from then on only
// evidence for the few best structures. Memory: some tens of megabytes of crops, then about 150
// bytes a sample and structure.
class LineWatch {
  public:
    // `key_frames`: whole pictures spread over the clip; crops are taken from them at once.
    LineWatch(std::span<const TextLine> lines, std::span<const KeptFrame> key_frames, cv::Size size,
              bool interlaced, const ReadOptions& options);

    // The next sampled frame, in order of time; all of the size given before.
    void take(double time_s, const cv::Mat1b& luma, float picture_motion);

    // Once, after the last sample.
    std::vector<WatchedLine> finish();

  private:
    struct Line {
        PixelBox cut;         // what is cut out of the stored picture
        LocatedLine located;  // in the picture as it is read
        std::vector<LineCrop> samples;
        std::vector<LineCrop> key_frames;
        LineKind kind = LineKind::unreadable;
        ClockReading clock;
    };
    struct Contender {
        std::size_t line = 0;
        LineStructure structure;
        InclinationUnit mark = InclinationUnit::unknown;
        std::vector<LineEvidence> evidence;
    };

    LineCrop crop_of(const Line& line, double time_s, const cv::Mat1b& luma, float motion) const;
    PixelBox turned(const PixelBox& box) const;
    void turn();
    void seek_structures();
    // A contender and its place among those of its line.
    struct Ranked {
        std::size_t rank = 0;
        Contender contender;
    };
    struct LineVerdict {
        LineKind kind = LineKind::unreadable;
        ClockReading clock;
        bool light_ends_within = false;  // digits of the best structure
    };
    LineVerdict search_line(std::size_t index, StrokeGaps gaps, std::vector<Ranked>& found) const;
    static void leave_out_poorer_outlines(std::vector<Ranked>& closed);
    void search_gaps_closed(std::vector<Ranked>& found);
    void check_by_outlines(std::size_t index, std::vector<Ranked>& found) const;
    std::vector<Contender> contenders_by_rank();
    void take_up(Contender& contender, std::span<const LineCrop> samples);
    void follow(std::size_t line, const LineCrop& crop);

    cv::Size size_;
    bool upside_down_ = false;
    LineReaderOptions options_;
    GlyphNet net_;
    std::size_t most_samples_ = 0;
    std::size_t samples_ = 0;
    bool sought_ = false;
    std::vector<Line> lines_;
    std::vector<Contender> contenders_;
};

}  // namespace sondeline
