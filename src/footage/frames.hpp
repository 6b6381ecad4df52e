// Frames of a clip: luma and presentation time, decoded on one thread by libavcodec.
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>

#include <opencv2/core.hpp>

namespace sondeline {

// What the container says; nothing here is checked against the frames.
struct ClipHeaders {
    std::string container;  // "mov,mp4,…" is given as "mp4", the rest by its usual name
    std::string codec;
    int width = 0;
    int height = 0;
    std::int64_t frames = 0;  // 0: not said
    double duration_s = 0.0;  // 0: not said
    double frame_rate = 0.0;  // 0: not said
    bool interlaced = false;
    std::optional<double> creation_time_s;  // since 1970 UTC
};

// One decoded frame. `luma` is a view into the decoder's picture (8 bit, limited or full range as
// stored) and ends with the next call of FrameSource::next; clone it to keep it.
struct Frame {
    double time_s = 0.0;  // from the clip's first frame; never falls
    cv::Mat1b luma;
    bool key = false;
    bool interlaced = false;
    bool damaged = false;  // the decoder met errors in it and filled them in
};

// Which frames FrameSource::next gives.
struct FrameChoice {
    bool key_frames_only = false;
    // At most so many a second of footage, the first frame at or after each step; 0: every frame.
    // Frames that no other frame needs are then not decoded, as long as enough are left.
    double per_s = 0.0;
};

// What was met on the way; complete once next() has given its last frame.
struct FrameReport {
    std::int64_t frames = 0;            // in the file up to here, decoded or passed over
    std::int64_t damaged_frames = 0;    // decoded with errors
    std::int64_t rejected_packets = 0;  // not decodable at all
    int gaps = 0;                       // more than a second between frames
    double longest_gap_s = 0.0;
    double longest_gap_at_s = 0.0;  // where it begins
    int repeats = 0;                // a frame with the time of the one before
    int back_steps = 0;             // time ran backwards, or leapt by over an hour: closed up
    int other_sizes = 0;            // frames of another size than the first, passed over
    bool read_error = false;        // the medium failed
    bool interlaced = false;        // some frame said so
    double last_time_s = 0.0;       // of the last frame seen
    // Seconds promised by the container and not there; 0 when all is there or nothing was promised.
    double missing_s = 0.0;
};

// A clip open for reading. Bounded memory: a few decoded pictures, whatever the file holds. Network
// addresses, play lists and image sequences are not opened.
class FrameSource {
  public:
    // Empty `source` with `why_not` in plain words when the file cannot be read as footage.
    struct Opened;
    static Opened open(const std::filesystem::path& clip, const FrameChoice& choice);

    FrameSource(FrameSource&&) noexcept;
    FrameSource& operator=(FrameSource&&) noexcept;
    ~FrameSource();

    const ClipHeaders& headers() const;

    // The next chosen frame, or nothing at the end.
    std::optional<Frame> next();

    const FrameReport& report() const;

    // Share of the file gone through, 0…1, by bytes.
    double share_read() const;

  private:
    struct Decoder;
    explicit FrameSource(std::unique_ptr<Decoder> decoder);
    std::unique_ptr<Decoder> decoder_;
};

struct FrameSource::Opened {
    std::optional<FrameSource> source;
    std::string why_not;  // "It holds no video."
    std::string what_to_do;
};

// Longest side of a picture that is decoded, in pixels.
inline constexpr int kLongestSide_px = 8192;

}  // namespace sondeline
