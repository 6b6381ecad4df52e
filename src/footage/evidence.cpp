#include "footage/evidence.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>

#include "footage/frame_seeker.hpp"
#include "footage/water/placed_looks.hpp"

namespace sondeline {

namespace {

constexpr int kMostZeroings = 5;
constexpr int kMostWaters = 3;
constexpr int kMostTurns = 2;  // and changes of light
constexpr double kDoubtful_s = 1.0;
constexpr int kWidest_px = 360;

std::string reading_words(const Track& track, double counter) {
    const CounterFormat& format = *track.format;
    switch (format.unit) {
        case CounterUnit::metre: return fmt::format("{:.{}f} m", counter, format.decimals);
        case CounterUnit::foot: return fmt::format("{:.{}f} ft", counter, format.decimals);
        case CounterUnit::feet_and_inches: {
            const auto inches = std::lround(std::abs(counter) * 12.0);
            return fmt::format("{}{}' {}\"", counter < 0.0 ? "-" : "", inches / 12, inches % 12);
        }
        case CounterUnit::unknown: break;
    }
    return fmt::format("{:.{}f}", counter, format.decimals);
}

struct Stretch {
    std::size_t first = 0;
    std::size_t last = 0;
    double length_s = 0.0;
};

std::vector<Stretch> doubtful_stretches(const std::vector<CounterSample>& samples) {
    std::vector<Stretch> stretches;
    bool inside = false;
    for (std::size_t i = 0; i < samples.size(); ++i) {
        if (samples[i].counter) {
            inside = false;
            continue;
        }
        if (!inside) stretches.push_back({i, i, 0.0});
        inside = true;
        stretches.back().last = i;
        stretches.back().length_s = samples[i].time_s - samples[stretches.back().first].time_s;
    }
    std::erase_if(stretches, [](const Stretch& s) { return s.length_s < kDoubtful_s; });
    std::stable_sort(stretches.begin(), stretches.end(),
                     [](const Stretch& a, const Stretch& b) { return a.length_s > b.length_s; });
    return stretches;
}

std::string clock(double time_s) {
    const auto tenths = static_cast<long>(std::lround(time_s * 10.0));
    return fmt::format("{}:{:02}.{}", tenths / 600, tenths / 10 % 60, tenths % 10);
}

// Turns and changes of light, the first of each, and one of the rings: five at most.
void add_marks(const Track& track, std::vector<EvidenceMoment>& moments) {
    for (const auto& [kind, most] : {std::pair{PassingKind::turn, kMostTurns},
                                     {PassingKind::light, kMostTurns},
                                     {PassingKind::ring, 1}}) {
        int told = 0;
        for (const PassingMark& mark : track.marks) {
            if (mark.kind != kind) continue;
            if (told++ == most) break;
            moments.push_back({mark.time_s, std::string(word(kind)),
                               kind == PassingKind::ring ? "ahead of the lens" : "look here"});
        }
    }
}

// The built-in lettering has no signs beyond ASCII.
std::string plain(std::string text) {
    std::ranges::replace_if(
        text, [](char c) { return static_cast<unsigned char>(c) >= 127 || c < ' '; }, '?');
    return text;
}

void write(cv::Mat3b picture, const std::string& text, int x, int y, double most_px) {
    constexpr double kScale = 0.45;
    int below = 0;
    const cv::Size size = cv::getTextSize(text, cv::FONT_HERSHEY_SIMPLEX, kScale, 1, &below);
    const double scale = size.width > most_px ? kScale * most_px / size.width : kScale;
    cv::putText(picture, text, {x, y}, cv::FONT_HERSHEY_SIMPLEX, scale, {235, 235, 235}, 1,
                cv::LINE_AA);
}

cv::Rect grown(const PixelBox& box, int margin, cv::Size picture) {
    return cv::Rect(box.x - margin, box.y - margin, box.width + 2 * margin,
                    box.height + 2 * margin) &
           cv::Rect({0, 0}, picture);
}

}  // namespace

std::vector<EvidenceMoment> evidence_moments(const Track& track) {
    std::vector<EvidenceMoment> moments;
    if (!track.format) return moments;
    const JoinedTrack reach = continuous(track);
    if (reach.first) {
        moments.push_back(
            {reach.first->time_s, "first reading", reading_words(track, reach.first->counter)});
    }
    if (reach.furthest) {
        moments.push_back({reach.furthest->time_s, "furthest reach",
                           reading_words(track, reach.furthest->counter)});
    }
    for (const Zeroing& zeroing : track.zeroings) {
        if (moments.size() >= 2 + kMostZeroings) break;
        moments.push_back(
            {zeroing.time_s, "set to another value",
             fmt::format("{} before, {} here", reading_words(track, zeroing.counter_before),
                         reading_words(track, zeroing.counter_after))});
    }
    if (track.water) {
        int told = 0;
        for (const WaterStretch& stretch : track.water->stretches) {
            if (moments.size() == most_evidence || told++ == kMostWaters) break;
            moments.push_back(
                {stretch.deepest_s,
                 stretch.pushing && stretch.retrieving ? "standing water" : "maybe standing water",
                 fmt::format("{:.{}f} to {:.{}f}, deepest here", stretch.from,
                             track.format->decimals, stretch.to, track.format->decimals)});
        }
    }
    for (const Stretch& stretch : doubtful_stretches(track.samples)) {
        if (moments.size() == most_evidence) break;
        const CounterSample& middle = track.samples[(stretch.first + stretch.last) / 2];
        moments.push_back({middle.time_s, "not read",
                           fmt::format("{} ({:.1f} s)", middle.reason, stretch.length_s)});
    }
    add_marks(track, moments);
    std::stable_sort(
        moments.begin(), moments.end(),
        [](const EvidenceMoment& a, const EvidenceMoment& b) { return a.time_s < b.time_s; });
    return moments;
}

std::string evidence_png(const cv::Mat3b& frame, const PixelBox& box, const std::string& clip,
                         const EvidenceMoment& moment) {
    const double share = std::min(1.0, static_cast<double>(kWidest_px) / frame.cols);
    cv::Mat3b small;
    cv::resize(frame, small, {}, share, share, cv::INTER_AREA);
    const cv::Rect text = grown(box, std::max(3, box.height / 4), frame.size());
    const auto scaled = [share](int length) {
        return static_cast<int>(std::lround(length * share));
    };
    cv::rectangle(small,
                  cv::Rect(scaled(text.x), scaled(text.y), std::max(3, scaled(text.width)),
                           std::max(3, scaled(text.height))),
                  {0, 220, 255}, 1);
    // Below the frame: the digits enlarged at the left, words beside them.
    constexpr int kStrip_px = 52;
    cv::Mat3b all(small.rows + kStrip_px, small.cols, cv::Vec3b(24, 24, 24));
    small.copyTo(all(cv::Rect({0, 0}, small.size())));
    int used_px = 0;
    if (!text.empty()) {
        const double enlarged =
            std::min({(kStrip_px - 8.0) / text.height, 0.45 * small.cols / text.width, 4.0});
        cv::Mat3b digits;
        cv::resize(frame(text), digits, {}, enlarged, enlarged, cv::INTER_CUBIC);
        used_px = digits.cols + 4;
        digits.copyTo(
            all(cv::Rect({4, small.rows + (kStrip_px - digits.rows) / 2}, digits.size())));
    }
    const double room_px = small.cols - used_px - 16.0;
    write(all, plain(fmt::format("{} at {}", moment.what, clock(moment.time_s))), used_px + 10,
          small.rows + 16, room_px);
    write(all, plain(moment.reading), used_px + 10, small.rows + 31, room_px);
    write(all, plain(clip), used_px + 10, small.rows + 46, room_px);
    // Thirty-two shades of each colour are enough to look at and take half the room.
    all = all & cv::Scalar(0xF8, 0xF8, 0xF8);
    std::vector<unsigned char> bytes;
    cv::imencode(".png", all, bytes, {cv::IMWRITE_PNG_COMPRESSION, 9});
    return {bytes.begin(), bytes.end()};
}

void add_evidence(const std::filesystem::path& clip, Track& track) {
    track.evidence.clear();
    const std::vector<EvidenceMoment> moments = evidence_moments(track);
    if (moments.empty()) return;
    std::optional<FrameSeeker> seeker = FrameSeeker::open(clip);
    if (!seeker) return;
    const double rate = track.clip.frame_rate > 0.0 ? track.clip.frame_rate : 25.0;
    std::optional<cv::Mat3b> frame;
    double frame_s = -1.0;  // several moments may share a frame
    for (const EvidenceMoment& moment : moments) {
        if (moment.time_s != frame_s) frame = seeker->at(moment.time_s, 0.5 / rate);
        frame_s = moment.time_s;
        if (!frame || frame->cols != track.clip.width || frame->rows != track.clip.height) continue;
        track.evidence.push_back(
            {moment.time_s, moment.what,
             evidence_png(*frame, track.format->box, track.clip.name, moment)});
    }
}

}  // namespace sondeline
