#include "footage/text_bands.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <numeric>
#include <optional>

#include <opencv2/imgproc.hpp>

namespace sondeline {

namespace {

// Rows of the digits: where thin bright strokes are, summed over crops and columns.
std::vector<double> stroke_rows(const LocatedLine& line, std::span<const LineCrop* const> crops) {
    cv::Mat1f sum;
    for (const LineCrop* crop : crops) {
        cv::Mat1f grey;
        crop->luma.convertTo(grey, CV_32F, line.light_on_dark ? 1.0 : -1.0);
        sum = sum.empty() ? grey : cv::Mat1f(sum + grey);
    }
    const int stroke = std::max(3, line.text.height / 3) | 1;
    // Upright strokes, and the level ones that small and bold digits are closed by.
    cv::Mat1f strokes;
    cv::Mat1f level;
    cv::morphologyEx(sum, strokes, cv::MORPH_TOPHAT,
                     cv::getStructuringElement(cv::MORPH_RECT, {stroke, 1}));
    cv::morphologyEx(sum, level, cv::MORPH_TOPHAT,
                     cv::getStructuringElement(cv::MORPH_RECT, {1, stroke}));
    strokes = cv::Mat1f(cv::max(strokes, level));
    const cv::Rect whole(0, 0, sum.cols, sum.rows);
    const cv::Rect text(line.text.x, 0, line.text.width, sum.rows);
    cv::Mat1d rows;
    cv::reduce(strokes(text & whole), rows, 1, cv::REDUCE_SUM, CV_64F);
    return {rows.begin(), rows.end()};
}

// Of the parts that several rows without strokes set apart, the one whose strokes sum to most: the
// edge of a box is none of the digits.
cv::Range fullest_part(const std::vector<double>& rows, int from, int to, double none) {
    const int apart = std::max(3, (to - from) / 6);
    cv::Range best(from, to);
    double most = -1.0;
    int start = from;
    int last = from;  // row with strokes
    double sum = 0.0;
    for (int row = from; row <= to; ++row) {
        const bool strokes = row < to && rows[row] >= none;
        if (row == to || (strokes && row - last > apart)) {
            if (sum > most) best = {start, last + 1};
            most = std::max(most, sum);
            start = row;
            sum = 0.0;
        }
        if (!strokes) continue;
        last = row;
        sum += rows[row];
    }
    return best;
}

// First and one past the last row of the text box that holds a fair share of the strokes.
cv::Range digit_rows(const LocatedLine& line, std::span<const LineCrop* const> crops) {
    const std::vector<double> rows = stroke_rows(line, crops);
    const int from = std::max(0, line.text.y - 2);
    const int to = std::min(static_cast<int>(rows.size()), line.text.y + line.text.height + 2);
    std::vector<double> inside(rows.begin() + from, rows.begin() + to);
    std::nth_element(inside.begin(), inside.begin() + inside.size() * 3 / 4, inside.end());
    const double many = inside[inside.size() * 3 / 4];
    constexpr double kNone = 0.1;
    constexpr double kFair = 0.35;
    const cv::Range part = fullest_part(rows, from, to, kNone * many);
    int top = part.start;
    int bottom = part.end;
    while (top < bottom - 1 && rows[top] < kFair * many) ++top;
    while (bottom > top + 1 && rows[bottom - 1] < kFair * many) --bottom;
    return {top, bottom};
}

// The best sum of digit logits that one crop can give: a chain of neighbouring digits, with at
// most one gap.
float best_chain(const GlyphMap& map, int crop) {
    const int pitch = map.steps_per_pitch();
    float best = 0.0F;
    std::vector<float> ending(static_cast<std::size_t>(map.places()), 0.0F);
    for (int place = 0; place < map.places(); ++place) {
        float before = 0.0F;
        if (place >= pitch) before = ending[place - pitch];
        for (int gap = 1; gap <= pitch; ++gap) {
            const int left = place - pitch - gap;
            if (left >= 0) before = std::max(before, ending[left] - 1.0F);
        }
        ending[place] = std::max(0.0F, before + map.digit(crop, place));
        best = std::max(best, ending[place]);
    }
    return best;
}

struct RatedBand {
    TextBand band;
    double score = 0.0;
};

GlyphMap map_for_rating(const TextBand& band, const LocatedLine& line,
                        std::span<const LineCrop* const> crops, const GlyphNet& net) {
    constexpr int kStepsPerPitch = 6;
    const double from = std::max(0.0, line.text.x - 0.5 * band.pitch_px);
    const double to = line.text.x + line.text.width + 0.5 * band.pitch_px;
    return {crops, net, strokes_of(line), band, from, to, kStepsPerPitch};
}

// No chain of digits in the map has more.
double most_of_chain(const GlyphMap& map) {
    const int digits = (map.places() + map.steps_per_pitch() - 1) / map.steps_per_pitch();
    return static_cast<double>(most_logit) * digits;
}

RatedBand rated(const TextBand& band, const LocatedLine& line,
                std::span<const LineCrop* const> crops, const GlyphNet& net) {
    const GlyphMap map = map_for_rating(band, line, crops, net);
    double sum = 0.0;
    for (int crop = 0; crop < map.crops(); ++crop) sum += best_chain(map, crop);
    return {band, sum / std::max(1, map.crops())};
}

std::vector<const LineCrop*> crops_of_rating(std::span<const LineCrop> crops) {
    return spread_crops(crops, 8);
}

// Row bands cut more or less tightly, and pitches from narrow to wide type. A band cut by nearly
// half leaves the edges of a box out; its type is that much smaller.
std::vector<TextBand> bands_to_try(const cv::Range& rows) {
    struct Cut {
        double above = 0.0;
        double below = 0.0;
        double type = 1.0;
    };
    constexpr std::array<Cut, 4> kCuts = {
        {{0.0, 0.0, 1.0}, {0.08, 0.08, 1.0}, {0.0, 0.16, 1.0}, {0.22, 0.22, 0.56}}};
    const double height = std::max(4, rows.size());
    std::vector<TextBand> bands;
    for (const Cut& cut : kCuts) {
        for (int i = 0; i < 11; ++i) {
            const double pitch = 0.5 * std::pow(1.1, i) * cut.type * height;
            bands.push_back(
                {rows.start + cut.above * height, (1.0 - cut.above - cut.below) * height, pitch});
        }
    }
    return bands;
}

void keep_best(std::vector<RatedBand>& bands, std::size_t most) {
    std::stable_sort(bands.begin(), bands.end(),
                     [](const RatedBand& a, const RatedBand& b) { return a.score > b.score; });
    if (bands.size() > most) bands.resize(most);
}

// The `most` best of the bands, rated on two crops. The second crop is looked at only for bands
// that may still be among the best when it shows as many digits as they have room for.
std::vector<RatedBand> best_on_two(const std::vector<TextBand>& bands, const LocatedLine& line,
                                   std::span<const LineCrop* const> crops, const GlyphNet& net,
                                   std::size_t most) {
    struct Entry {
        double on_first = 0.0;
        double bound = 0.0;
        std::optional<RatedBand> rated;
    };
    std::vector<Entry> entries(bands.size());
    std::vector<std::size_t> order(bands.size());
    std::iota(order.begin(), order.end(), 0);
    for (const std::size_t i : order) {
        const GlyphMap map = map_for_rating(bands[i], line, crops.first(1), net);
        entries[i].on_first = best_chain(map, 0);
        entries[i].bound = 0.5 * (entries[i].on_first + most_of_chain(map));
    }
    std::ranges::stable_sort(order, std::greater<>(),
                             [&](std::size_t i) { return entries[i].on_first; });
    std::vector<double> best;  // scores, highest first
    for (const std::size_t i : order) {
        constexpr double kRounding = 1e-3;
        if (best.size() == most && entries[i].bound < best.back() - kRounding) continue;
        const RatedBand second = rated(bands[i], line, crops.subspan(1), net);
        const double score = (entries[i].on_first + second.score) / 2.0;
        entries[i].rated = RatedBand{bands[i], score};
        best.insert(std::ranges::upper_bound(best, score, std::greater<>()), score);
        if (best.size() > most) best.pop_back();
    }
    std::vector<RatedBand> kept;
    for (const Entry& entry : entries) {
        if (entry.rated) kept.push_back(*entry.rated);
    }
    keep_best(kept, most);
    return kept;
}

bool alike(const TextBand& a, const TextBand& b) {
    return std::abs(a.pitch_px - b.pitch_px) < 0.12 * a.pitch_px &&
           std::abs(a.top_px - b.top_px) < 0.15 * a.height_px &&
           std::abs(a.height_px - b.height_px) < 0.2 * a.height_px;
}

// Bands that differ, best first, as rated on `crops_of_rating(crops)`.
std::vector<RatedBand> likely_rated(const LocatedLine& line, std::span<const LineCrop> crops,
                                    const GlyphNet& net, int most) {
    if (crops.empty() || line.text.width < 4 || line.text.height < 4) return {};
    const cv::Range rows = digit_rows(line, spread_crops(crops, 60));
    // All on a few crops, then those that did well on more.
    constexpr std::size_t kFew = 8;
    const std::vector<const LineCrop*> few = spread_crops(crops.subspan(crops.size() / 4), 2);
    std::vector<RatedBand> all = best_on_two(bands_to_try(rows), line, few, net, kFew);
    const std::vector<const LineCrop*> more = crops_of_rating(crops);
    for (RatedBand& candidate : all) candidate = rated(candidate.band, line, more, net);
    keep_best(all, kFew);
    std::vector<RatedBand> chosen;
    for (const RatedBand& candidate : all) {
        constexpr double kWorthTrying = 0.75;  // of the best
        if (static_cast<int>(chosen.size()) == most ||
            candidate.score < kWorthTrying * all.front().score) {
            break;
        }
        const bool known = std::ranges::any_of(
            chosen, [&](const RatedBand& other) { return alike(other.band, candidate.band); });
        if (!known) chosen.push_back(candidate);
    }
    return chosen;
}

std::vector<TextBand> without_scores(const std::vector<RatedBand>& rated) {
    std::vector<TextBand> bands;
    bands.reserve(rated.size());
    for (const RatedBand& band : rated) bands.push_back(band.band);
    return bands;
}

}  // namespace

std::vector<TextBand> likely_bands(const LocatedLine& line, std::span<const LineCrop> crops,
                                   const GlyphNet& net, int most) {
    return without_scores(likely_rated(line, crops, net, most));
}

std::vector<BandsOfLine> bands_either_way(const LocatedLine& line, std::span<const LineCrop> crops,
                                          const GlyphNet& net, int most) {
    constexpr double kClearly = 1.15;
    constexpr double kNearly = 1.2;
    constexpr double kPoor = 5.0;  // as much as one clear digit
    LocatedLine inverted = line;
    inverted.light_on_dark = !line.light_on_dark;
    const std::vector<RatedBand> as_said = likely_rated(line, crops, net, most);
    if (as_said.empty()) return {};
    BandsOfLine found{line.light_on_dark, without_scores(as_said)};
    const double score = as_said.front().score;
    const double of_inverted =
        rated(as_said.front().band, inverted, crops_of_rating(crops), net).score;
    // An outline or a bright wall often makes light strokes seem dark, and little the other way.
    const bool doubtful = !line.light_on_dark;
    // Taken the wrong way, the band itself may be off the digits.
    if (!doubtful && of_inverted <= score && score >= kPoor) return {found};
    const std::vector<RatedBand> exchanged = likely_rated(inverted, crops, net, most);
    if (exchanged.empty()) return {found};
    BandsOfLine other{inverted.light_on_dark, without_scores(exchanged)};
    const double of_other = std::max(of_inverted, exchanged.front().score);
    const bool turned = of_other > (doubtful ? 1.0 : kClearly) * score;
    const bool nearly = turned ? score * kNearly > of_other : of_other * kNearly > score;
    if (!nearly) return {turned ? other : found};
    return turned ? std::vector{other, found} : std::vector{found, other};
}

}  // namespace sondeline
