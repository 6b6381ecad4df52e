#include "footage/read_span.hpp"

#include <optional>

#include "footage/scene.hpp"
#include "footage/water/water_watch.hpp"

namespace sondeline {
namespace {

constexpr double kShareOfLookAround = 0.05;  // of the whole work, for progress

std::vector<PixelBox> boxes_of(const std::vector<TextLine>& lines) {
    std::vector<PixelBox> boxes;
    boxes.reserve(lines.size());
    for (const TextLine& line : lines) boxes.push_back(line.box);
    return boxes;
}

class OnePass {
  public:
    OnePass(const Located& located, const LookAround& look, cv::Size size,
            const ReadOptions& options)
        : size_(size),
          watch_(located.lines, look.key_frames, size, look.interlaced, options),
          motion_(boxes_of(located.lines), size) {
        if (options.water) water_.emplace(boxes_of(located.lines), size);
    }

    void take(double time_s, const cv::Mat1b& luma, bool damaged) {
        if (luma.size() != size_) return;
        if (damaged) {
            reading_.damaged_s.push_back(time_s);
            return;
        }
        reading_.times_s.push_back(time_s);
        reading_.motion.push_back(motion_.motion_to(luma));
        watch_.take(time_s, luma, reading_.motion.back());
        if (water_) water_->take(time_s, luma);
    }

    SpanReading finish() {
        reading_.lines = watch_.finish();
        if (water_) reading_.water = water_->finish();
        return std::move(reading_);
    }

  private:
    cv::Size size_;
    LineWatch watch_;
    MotionMeter motion_;
    std::optional<WaterWatch> water_;
    SpanReading reading_;
};

}  // namespace

SpanReading read_span(const std::filesystem::path& clip, const TimeSpan& span,
                      const ReadOptions& options, const ReadProgress& progress) {
    FrameSource::Opened opened =
        FrameSource::open(clip, {.key_frames_only = false, .per_s = options.samples_per_s});
    if (!opened.source) {
        SpanReading refused;
        refused.why_not = opened.why_not;
        refused.what_to_do = opened.what_to_do;
        return refused;
    }
    FrameSource& frames = *opened.source;
    LookAround look = look_around(clip, frames.headers(), span);
    Located located = locate_overlay(look, frames, clip, span);
    OnePass pass(located, look, {frames.headers().width, frames.headers().height}, options);
    look.key_frames = {};
    for (const KeptFrame& frame : located.start) pass.take(frame.time_s, frame.luma, frame.damaged);
    located.start = {};
    while (const std::optional<Frame> frame = frames.next()) {
        if (frame->time_s > span.to_s) break;
        if (span.holds(frame->time_s)) pass.take(frame->time_s, frame->luma, frame->damaged);
        if (progress) {
            progress(kShareOfLookAround + (1.0 - kShareOfLookAround) * frames.share_read());
        }
    }
    SpanReading reading = pass.finish();
    reading.report = frames.report();
    return reading;
}

}  // namespace sondeline
