#include "footage/line_watch.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <tuple>

#include <opencv2/imgproc.hpp>

#include "footage/second_look.hpp"
#include "footage/stroke_gaps.hpp"

namespace sondeline {
namespace {

constexpr std::size_t kCropBytes = 48U << 20U;
constexpr std::size_t kFewestSamples = 100;
constexpr std::size_t kMostSamples = 400;
constexpr std::size_t kMostContenders = 4;

// The text with room for leading places that are blank most of the time, for a unit behind it, and
// for a row band that was cut too close. Even rows when interlaced, so that fields stay apart.
LocatedLine with_margins(const TextLine& text, cv::Size size, bool interlaced,
                         double samples_per_s) {
    const int height = text.box.height;
    const cv::Rect whole(0, 0, size.width, size.height);
    const int above = static_cast<int>(std::ceil(0.6 * height));
    const int left = static_cast<int>(std::ceil(2.5 * height));
    const int right = 3 * height;
    cv::Rect crop(text.box.x - left, text.box.y - above, left + text.box.width + right,
                  height + 2 * above);
    crop &= whole;
    if (interlaced) {
        const int top = crop.y & ~1;
        const int bottom = std::min(size.height & ~1, (crop.br().y + 1) & ~1);
        crop = {crop.x, top, crop.width, bottom - top};
    }
    LocatedLine line;
    line.crop = {crop.x, crop.y, crop.width, crop.height};
    line.text = {text.box.x - crop.x, text.box.y - crop.y, text.box.width, height};
    line.light_on_dark = text.light_on_dark;
    line.interlaced = interlaced;
    line.samples_per_s = samples_per_s;
    return line;
}

// Shares of the crops of the search that are read for sure.
constexpr double kReadWell = 0.9;         // nothing is looked at twice
constexpr double kReadThroughout = 0.97;  // edges of the light do no harm
constexpr double kReadEnough = 0.75;      // for a second look to count
constexpr double kClearlyMore = 0.1;
constexpr double kHardlyLeft = 0.4;  // of what was not read before
// Scores of structures of one line. Type in scan lines of 16 px scores 1.2 to 1.9 times as high.
constexpr double kClearlyBetter = 1.2;

constexpr std::array kLooksTwice{StrokeGaps::of_light, StrokeGaps::of_dark,
                                 StrokeGaps::of_outlines_alone};

bool is_likely(const LineStructure& structure) {
    constexpr double kLikely = 0.5;
    return structure.counter_probability >= kLikely;
}

bool is_clearly_more(double share_read, double before) {
    const bool hardly_any_left =
        share_read >= kReadWell && 1.0 - share_read <= kHardlyLeft * (1.0 - before);
    return hardly_any_left || share_read >= std::max(kReadEnough, before + kClearlyMore);
}

}  // namespace

LineWatch::LineWatch(std::span<const TextLine> lines, std::span<const KeptFrame> key_frames,
                     cv::Size size, bool interlaced, const ReadOptions& options)
    : size_(size), options_{options.min_probability} {
    std::size_t bytes_per_sample = 1;
    for (const TextLine& text : lines) {
        Line line;
        line.located = with_margins(text, size, interlaced, options.samples_per_s);
        line.cut = line.located.crop;
        for (const KeptFrame& frame : key_frames) {
            if (frame.luma.size() != size) continue;
            line.key_frames.push_back(crop_of(line, frame.time_s, frame.luma, -1.0F));
        }
        const PixelBox& crop = line.located.crop;
        bytes_per_sample += static_cast<std::size_t>(crop.width) * crop.height;
        lines_.push_back(std::move(line));
    }
    most_samples_ = std::clamp(kCropBytes / bytes_per_sample, kFewestSamples, kMostSamples);
}

void LineWatch::take(double time_s, const cv::Mat1b& luma, float picture_motion) {
    ++samples_;
    if (sought_) {
        for (std::size_t i = 0; i < lines_.size(); ++i) {
            const bool followed = std::any_of(contenders_.begin(), contenders_.end(),
                                              [i](const Contender& c) { return c.line == i; });
            if (followed) follow(i, crop_of(lines_[i], time_s, luma, picture_motion));
        }
        return;
    }
    for (Line& line : lines_) {
        line.samples.push_back(crop_of(line, time_s, luma, picture_motion));
    }
    if (samples_ >= most_samples_) seek_structures();
}

void LineWatch::follow(std::size_t line, const LineCrop& crop) {
    for (Contender& contender : contenders_) {
        if (contender.line != line) continue;
        const LineStructure& structure = contender.structure;
        contender.evidence.push_back(
            line_evidence(with_gaps_closed(crop, structure.line), structure, net_));
    }
}

LineCrop LineWatch::crop_of(const Line& line, double time_s, const cv::Mat1b& luma,
                            float motion) const {
    const cv::Mat1b part = luma(cv::Rect(line.cut.x, line.cut.y, line.cut.width, line.cut.height));
    cv::Mat1b own;
    if (upside_down_) {
        cv::rotate(part, own, cv::ROTATE_180);
    } else {
        own = part.clone();
    }
    return {time_s, own, motion};
}

PixelBox LineWatch::turned(const PixelBox& box) const {
    return {size_.width - box.x - box.width, size_.height - box.y - box.height, box.width,
            box.height};
}

// Cameras and monitors are mounted on their heads, and the overlay with them.
void LineWatch::turn() {
    upside_down_ = true;
    for (Line& line : lines_) {
        PixelBox& text = line.located.text;
        text.x = line.cut.width - text.x - text.width;
        text.y = line.cut.height - text.y - text.height;
        line.located.crop = turned(line.cut);
        for (std::vector<LineCrop>* crops : {&line.samples, &line.key_frames}) {
            for (LineCrop& crop : *crops) cv::rotate(crop.luma, crop.luma, cv::ROTATE_180);
        }
    }
}

// What one line could be, with the gaps of its strokes closed so; adds its structures to `found`.
LineWatch::LineVerdict LineWatch::search_line(std::size_t index, StrokeGaps gaps,
                                              std::vector<Ranked>& found) const {
    const Line& line = lines_[index];
    LocatedLine located = line.located;
    located.gaps = gaps;
    if (gaps != StrokeGaps::none) located.light_on_dark = gaps != StrokeGaps::of_dark;
    std::vector<LineCrop> crops;
    for (const LineCrop& crop : line.samples) crops.push_back(with_gaps_closed(crop, located));
    const double last_s = crops.empty() ? -1.0 : crops.back().time_s;
    for (const LineCrop& key : line.key_frames) {
        if (key.time_s > last_s) crops.push_back(with_gaps_closed(key, located));
    }
    LineSearch search = find_line_structures(located, crops, net_, options_);
    LineVerdict verdict{search.kind, {}, false};
    if (const auto& band = search.marked) {
        verdict.clock =
            read_clock(located, crops, {band->top_px, band->height_px, band->pitch_px}, net_);
    }
    if (gaps == StrokeGaps::none && !search.structures.empty()) {
        verdict.light_ends_within = light_ends_within_digits(search.structures.front(), crops);
    }
    for (std::size_t rank = 0; rank < search.structures.size(); ++rank) {
        const InclinationUnit mark = mark_behind(search.structures[rank], crops);
        found.push_back({rank, {index, std::move(search.structures[rank]), mark, {}}});
    }
    return verdict;
}

// Outlines alone are the last resort: strokes that are read as well are read more surely.
void LineWatch::leave_out_poorer_outlines(std::vector<Ranked>& closed) {
    const auto by_outlines = [](const Ranked& one) {
        return one.contender.structure.line.gaps == StrokeGaps::of_outlines_alone;
    };
    double best = 0.0;
    double best_by_outlines = 0.0;
    for (const Ranked& one : closed) {
        double& share = by_outlines(one) ? best_by_outlines : best;
        share = std::max(share, one.contender.structure.share_read);
    }
    if (best >= best_by_outlines) std::erase_if(closed, by_outlines);
}

// Type in scan lines, and outlines on a scene as bright as what they enclose or now brighter and
// now darker, are read badly or not at all; with the gaps closed they are common type.
void LineWatch::search_gaps_closed(std::vector<Ranked>& found) {
    for (std::size_t i = 0; i < lines_.size(); ++i) {
        const LineKind kind = lines_[i].kind;
        if (kind == LineKind::clock || kind == LineKind::date) continue;
        const auto of_line = [i](const Ranked& one) { return one.contender.line == i; };
        double score = 0.0;
        double share_read = 0.0;
        for (const Ranked& one : found) {
            if (!of_line(one)) continue;
            const LineStructure& open = one.contender.structure;
            score = std::max(score, open.score);
            if (is_likely(open)) share_read = std::max(share_read, open.share_read);
        }
        std::vector<Ranked> closed;
        for (const StrokeGaps gaps : kLooksTwice) {
            search_line(i, gaps, closed);
        }
        std::erase_if(closed, [&](const Ranked& one) {
            const LineStructure& structure = one.contender.structure;
            const bool reads_more = is_clearly_more(structure.share_read, share_read);
            const bool fits_better = score > 0.0 && structure.score >= kClearlyBetter * score;
            return !is_likely(structure) || !structure.doubt.empty() ||
                   !(reads_more || fits_better);
        });
        leave_out_poorer_outlines(closed);
        if (closed.empty()) continue;
        for (Ranked& one : closed) {
            LineStructure& structure = one.contender.structure;
            if (structure.share_read >= kReadWell) continue;
            structure.doubt = "its strokes have gaps, and digits that look alike may be mistaken";
        }
        lines_[i].kind = LineKind::counter;
        std::erase_if(found, of_line);
        std::move(closed.begin(), closed.end(), std::back_inserter(found));
    }
}

// What is read well may be read wrongly where an edge of the light is taken for a stroke. Outlines
// do not know what is behind them: when they say otherwise, neither is without doubt.
void LineWatch::check_by_outlines(std::size_t index, std::vector<Ranked>& found) const {
    const auto of_line = [index](const Ranked& one) {
        return one.contender.line == index && one.rank == 0;
    };
    const auto first = std::ranges::find_if(found, of_line);
    if (first == found.end()) return;
    LineStructure& structure = first->contender.structure;
    if (!is_likely(structure) || structure.line.gaps != StrokeGaps::none) return;
    if (structure.share_read >= kReadThroughout) return;
    std::vector<Ranked> by_outlines;
    search_line(index, StrokeGaps::of_outlines_alone, by_outlines);
    if (by_outlines.empty()) return;
    LineStructure& other = by_outlines.front().contender.structure;
    if (!is_likely(other) || other.share_read < kReadEnough || read_alike(structure, other)) return;
    if (other.doubt.empty() && is_clearly_more(other.share_read, structure.share_read)) {
        *first = std::move(by_outlines.front());
        return;
    }
    if (structure.doubt.empty()) {
        structure.doubt =
            "the scene behind it is bright and dark at once, and by the outlines of its digits "
            "alone it reads otherwise";
    }
}

// Every line's best structure comes before any line's second, the likeliest counter first.
std::vector<LineWatch::Contender> LineWatch::contenders_by_rank() {
    std::vector<Ranked> found;
    std::vector<std::size_t> light_ends_within;
    for (std::size_t i = 0; i < lines_.size(); ++i) {
        LineVerdict verdict = search_line(i, StrokeGaps::none, found);
        if (verdict.light_ends_within) light_ends_within.push_back(i);
        lines_[i].kind = verdict.kind;
        lines_[i].clock = std::move(verdict.clock);
    }
    const bool any_well = std::ranges::any_of(found, [](const Ranked& one) {
        const LineStructure& structure = one.contender.structure;
        return is_likely(structure) && structure.share_read >= kReadWell;
    });
    if (!any_well) search_gaps_closed(found);
    for (const std::size_t index : light_ends_within) check_by_outlines(index, found);
    std::stable_sort(found.begin(), found.end(), [](const Ranked& a, const Ranked& b) {
        const LineStructure& of_a = a.contender.structure;
        const LineStructure& of_b = b.contender.structure;
        return std::tuple(a.rank, -of_a.counter_probability, -of_a.score) <
               std::tuple(b.rank, -of_b.counter_probability, -of_b.score);
    });
    std::vector<Contender> contenders;
    for (Ranked& candidate : found) {
        if (contenders.size() == kMostContenders) break;
        contenders.push_back(std::move(candidate.contender));
    }
    return contenders;
}

void LineWatch::seek_structures() {
    sought_ = true;
    contenders_ = contenders_by_rank();
    const bool upright = std::any_of(lines_.begin(), lines_.end(), [](const Line& line) {
        return line.kind == LineKind::clock || line.kind == LineKind::date;
    });
    if (contenders_.empty() && !upright && !lines_.empty()) {
        turn();
        contenders_ = contenders_by_rank();
    }
    for (Contender& contender : contenders_) {
        take_up(contender, lines_[contender.line].samples);
    }
    for (Line& line : lines_) {
        line.samples = {};
        line.key_frames = {};
    }
}

// The samples so far, of which the search has looked at most.
void LineWatch::take_up(Contender& contender, std::span<const LineCrop> samples) {
    std::vector<SeenCrop> seen = std::move(contender.structure.seen);
    contender.structure.seen = {};
    auto next = seen.begin();
    for (std::size_t i = 0; i < samples.size(); ++i) {
        while (next != seen.end() && next->crop < i) ++next;
        const bool known = next != seen.end() && next->crop == i;
        const LineStructure& structure = contender.structure;
        contender.evidence.push_back(
            known ? next->evidence
                  : line_evidence(with_gaps_closed(samples[i], structure.line), structure, net_));
    }
}

std::vector<WatchedLine> LineWatch::finish() {
    if (!sought_) seek_structures();
    std::vector<WatchedLine> watched;
    for (const Line& line : lines_) {
        const PixelBox& text = line.located.text;
        const PixelBox& crop = line.located.crop;
        const PixelBox box{crop.x + text.x, crop.y + text.y, text.width, text.height};
        ClockReading clock = line.clock;
        if (clock.clock && upside_down_) clock.clock->box = turned(clock.clock->box);
        watched.push_back(
            {upside_down_ ? turned(box) : box, line.kind, {}, {}, std::move(clock), upside_down_});
    }
    for (const Contender& contender : contenders_) {
        LineReading reading = decode_line(contender.structure, contender.evidence, options_);
        if (upside_down_) reading.format.box = turned(reading.format.box);
        watched[contender.line].readings.push_back(std::move(reading));
        watched[contender.line].marks.push_back(contender.mark);
    }
    return watched;
}

}  // namespace sondeline
