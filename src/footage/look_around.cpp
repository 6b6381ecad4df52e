#include "footage/look_around.hpp"

#include <algorithm>

#include "footage/scene.hpp"

namespace sondeline {
namespace {

constexpr std::size_t kPictureBytes = 16U << 20U;
constexpr std::size_t kFewestPictures = 12;
constexpr std::size_t kMostPictures = 48;

constexpr int kEnoughScenes = 24;  // the background then stands out at less than a third of text
constexpr int kTooFewScenes = 8;
constexpr int kMostScenes = 28;
constexpr int kMostLines = 10;

// Recorders do not always say that they interlace. Combing shows where the scene moves only.
bool looks_interlaced(const std::vector<KeptFrame>& frames) {
    constexpr std::size_t kEnough = 4;
    constexpr double kCombed = 1.0;
    if (frames.size() < kEnough) return false;
    std::vector<double> ratios;
    ratios.reserve(frames.size());
    for (std::size_t i = 0; i < frames.size(); ++i) {
        const KeptFrame& other = frames[i > 0 ? i - 1 : 1];
        ratios.push_back(comb_ratio(frames[i].luma, other.luma));
    }
    std::sort(ratios.begin(), ratios.end());
    return ratios[ratios.size() * 3 / 4] > kCombed;
}

}  // namespace

void EvenlyKept::offer(double time_s, const cv::Mat1b& luma) {
    if (offered_++ % stride_ != 0) return;
    if (kept_.size() == most_) {
        std::vector<KeptFrame> half;
        for (std::size_t i = 0; i < kept_.size(); i += 2) half.push_back(std::move(kept_[i]));
        kept_ = std::move(half);
        stride_ *= 2;
        if ((offered_ - 1) % stride_ != 0) return;
    }
    kept_.push_back({time_s, luma.clone(), false});
}

std::size_t pictures_in_memory(cv::Size size) {
    const auto bytes = static_cast<std::size_t>(std::max(1, size.area()));
    return std::clamp(kPictureBytes / bytes, kFewestPictures, kMostPictures);
}

LookAround look_around(const std::filesystem::path& clip, const ClipHeaders& headers,
                       const TimeSpan& span) {
    LookAround look;
    look.interlaced = headers.interlaced;
    EvenlyKept kept(pictures_in_memory({headers.width, headers.height}));
    constexpr double kUnknownLength_per_s = 0.5;
    const double length_s = std::min(headers.duration_s, span.to_s) - span.from_s;
    const double per_s = headers.duration_s > 0.0 && length_s > 0.0
                             ? static_cast<double>(kMostPictures) / length_s
                             : kUnknownLength_per_s;
    FrameSource::Opened opened =
        FrameSource::open(clip, {.key_frames_only = true, .per_s = std::min(per_s, 2.0)});
    if (!opened.source) return look;
    while (const std::optional<Frame> frame = opened.source->next()) {
        if (frame->time_s > span.to_s) break;
        if (!frame->damaged && span.holds(frame->time_s)) kept.offer(frame->time_s, frame->luma);
    }
    look.interlaced = look.interlaced || opened.source->report().interlaced;
    look.key_frames = kept.take();
    look.interlaced = look.interlaced || looks_interlaced(look.key_frames);
    return look;
}

Located locate_overlay(const LookAround& look, FrameSource& frames,
                       const std::filesystem::path& clip, const TimeSpan& span) {
    Located located;
    GradientCoherence coherence(look.interlaced);
    for (const KeptFrame& frame : look.key_frames) {
        if (coherence.frames() < kMostScenes) coherence.add(frame.luma);
    }
    const ClipHeaders& headers = frames.headers();
    const std::size_t room = pictures_in_memory({headers.width, headers.height});
    // At least one, so that the size of the pictures is known from a picture.
    while (located.start.empty() ||
           (coherence.frames() < kEnoughScenes && located.start.size() < room)) {
        const std::optional<Frame> frame = frames.next();
        if (!frame || frame->time_s > span.to_s) break;
        if (!span.holds(frame->time_s)) continue;
        located.start.push_back({frame->time_s, frame->luma.clone(), frame->damaged});
        if (!frame->damaged) coherence.add(frame->luma);
    }
    if (coherence.frames() < kTooFewScenes) {
        FrameSource::Opened again =
            FrameSource::open(clip, {.key_frames_only = false, .per_s = 2.0});
        while (again.source && coherence.frames() < kEnoughScenes) {
            const std::optional<Frame> frame = again.source->next();
            if (!frame || frame->time_s > span.to_s) break;
            if (span.holds(frame->time_s)) coherence.add(frame->luma);
        }
    }
    located.lines = coherence.lines(kMostLines);
    return located;
}

}  // namespace sondeline
