// The lines of overlay text of one clip, watched from its first to its last sampled frame.
#pragma once

#include <span>
#include <vector>

#include "footage/line_reader.hpp"
#include "footage/look_around.hpp"

namespace sondeline {

// What became of one line.
struct WatchedLine {
    LocatedLine located;
    LineKind kind = LineKind::unreadable;
    double restless = 0.0;              // as TextLine
    std::vector<LineReading> readings;  // of its structures that were followed to the end
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
        LocatedLine located;
        double restless = 0.0;
        std::vector<LineCrop> samples;
        std::vector<LineCrop> key_frames;
        LineKind kind = LineKind::unreadable;
    };
    struct Contender {
        std::size_t line = 0;
        LineStructure structure;
        std::vector<LineEvidence> evidence;
    };

    void seek_structures();
    void follow(std::size_t line, const LineCrop& crop);

    LineReaderOptions options_;
    GlyphNet net_;
    std::size_t most_samples_ = 0;
    std::size_t samples_ = 0;
    bool sought_ = false;
    std::vector<Line> lines_;
    std::vector<Contender> contenders_;
};

}  // namespace sondeline
