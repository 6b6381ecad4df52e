#include "footage/structure_candidate.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <optional>

#include "footage/first_digit.hpp"
#include "footage/left_out_digit.hpp"
#include "footage/line_kind.hpp"
#include "footage/number_shape.hpp"
#include "footage/own_glyphs.hpp"
#include "footage/path_trust.hpp"
#include "footage/structure_search.hpp"

namespace sondeline {

namespace {

constexpr float kSurePath = 0.98F;

std::vector<LineEvidence> first_evidence(const Candidate& candidate,
                                         std::span<const LineCrop* const> crops) {
    std::vector<LineEvidence> evidence;
    evidence.reserve(crops.size());
    for (std::size_t i = 0; i < crops.size(); ++i) {
        evidence.push_back({crops[i]->time_s,
                            crops[i]->picture_motion,
                            costs_of(candidate.glyphs[i].log_probs),
                            {}});
    }
    return evidence;
}

// What stands in one cell of crops spread over the clip, at most about so many.
std::vector<GlyphLogProbs> seen_in(const cv::Rect2d& cell, std::span<const LineCrop* const> crops,
                                   std::size_t looks, const GlyphNet& net, Strokes strokes) {
    const std::size_t stride = std::max<std::size_t>(1, crops.size() / looks);
    std::vector<GlyphPatch> patches;
    for (std::size_t i = 0; i < crops.size(); i += stride) {
        patches.push_back(patch_from(crops[i]->luma, cell, strokes));
    }
    std::vector<GlyphLogProbs> seen(patches.size());
    net.classify(patches, seen);
    return seen;
}

bool signed_in_front(const NumberGrid& grid, std::span<const LineCrop* const> crops,
                     const GlyphNet& net, Strokes strokes) {
    // These have a place for a sign already.
    if (grid.padding == Padding::blanks || grid.padding == Padding::part || grid.minus_pushes) {
        return false;
    }
    if (grid.first_px < grid.band.pitch_px) return false;
    // A minus before a number that keeps its first character is that first character.
    const bool minus_counts = grid.padding == Padding::zeros;
    constexpr std::size_t kLooks = 24;
    const cv::Rect2d cell(grid.first_px - grid.band.pitch_px, grid.band.top_px, grid.band.pitch_px,
                          grid.band.height_px);
    const std::vector<GlyphLogProbs> seen = seen_in(cell, crops, kLooks, net, strokes);
    const auto shown = std::ranges::count_if(seen, [&](const GlyphLogProbs& glyph) {
        return (minus_counts && class_logit(glyph, Glyph::minus) > 0.0F) ||
               class_logit(glyph, Glyph::plus) > 0.0F;
    });
    return shown * 8 > std::ssize(seen);
}

// The last digit stays while the number without it takes at least four values.
bool last_digit_rests(const CounterPath& path) {
    std::array<int, 10> shown{};
    int sure = 0;
    int others = 0;
    std::optional<std::int64_t> before;
    for (const PathValue& value : path.values) {
        if (value.probability < kSurePath) continue;
        const std::int64_t magnitude = std::llabs(value.ticks);
        ++shown[static_cast<std::size_t>(magnitude % 10)];
        ++sure;
        others += before && *before != magnitude / 10;
        before = magnitude / 10;
    }
    const int most = *std::max_element(shown.begin(), shown.end());
    return others >= 4 && most * 100 > sure * 85;
}

// Whether no sure value is of fewer than two places: a head is mostly set to zero where it is let
// in, and a sign before the number, taken for a digit, makes tens of what it is.
bool never_near_zero(const Candidate& candidate) {
    if (candidate.grid.inches) return false;
    const auto ten = static_cast<std::int64_t>(std::pow(10.0, candidate.grid.decimals + 1));
    int sure = 0;
    for (const PathValue& value : candidate.path.values) {
        if (value.probability < kSurePath) continue;
        if (std::llabs(value.ticks) < ten) return false;
        ++sure;
    }
    return sure > 0;
}

bool beyond_reels(const CounterPath& path, const ReelMotion& motion) {
    int sure = 0;
    int beyond = 0;
    for (const PathValue& value : path.values) {
        if (value.probability < kSurePath) continue;
        ++sure;
        beyond += std::llabs(value.ticks) > motion.longest_ticks;
    }
    return beyond * 2 > sure;
}

double share_sure(const CounterPath& path) {
    const auto sure = std::ranges::count_if(
        path.values, [](const PathValue& value) { return value.probability >= kSurePath; });
    return static_cast<double>(sure) /
           std::max<double>(1.0, static_cast<double>(path.values.size()));
}

void judge(Candidate& candidate, std::span<const LineEvidence> evidence) {
    const ReelMotion motion = reel_motion(metres_to_the_tick(candidate.structure.format));
    const TrustedPath told =
        trusted(candidate.path, candidate.structure.shape, evidence, motion, kSurePath);
    PathFaults& faults = candidate.faults;
    faults.jumps = static_cast<int>(std::count_if(
        told.jumps.begin(), told.jumps.end(), [](const PathJump& jump) { return !jump.clean; }));
    faults.last_digit_rests = !candidate.grid.inches && last_digit_rests(candidate.path);
    faults.beyond_reels = beyond_reels(candidate.path, motion);
    candidate.structure.score = candidate.path.score;
    // What stands beside a number and looks a little like a digit raises the score as a further
    // cell; it leaves its value open, as no digit does.
    constexpr double kOfSure = 3.0;
    constexpr double kOfPoint = 0.2;
    constexpr double kOfPrime = 0.5;  // nothing but a mark of feet looks like one
    candidate.rank = candidate.path.score + kOfSure * share_sure(candidate.path) +
                     (candidate.grid.inches ? kOfPrime : kOfPoint) * candidate.grid.point_logit -
                     2.0 * std::min(faults.jumps, 3) - (faults.last_digit_rests ? 4.0 : 0.0) -
                     (faults.beyond_reels ? 3.0 : 0.0);
}

CounterPath path_by(const Candidate& candidate, std::span<const LineEvidence> evidence) {
    const ReelMotion motion = reel_motion(metres_to_the_tick(candidate.structure.format));
    return decode_path(candidate.structure.shape, evidence, motion);
}

}  // namespace

Candidate tried(const NumberGrid& grid, const LocatedLine& line,
                std::span<const LineCrop* const> crops, const GlyphNet& net) {
    Candidate candidate;
    candidate.grid = grid;
    const bool sign = fits_cells(grid, true) &&
                      (grid.sign_before || signed_in_front(grid, crops, net, strokes_of(line)));
    candidate.structure = structure_of(grid, line, sign);
    CellReader reader(candidate.structure, net);
    candidate.glyphs.reserve(crops.size());
    for (const LineCrop* crop : crops) reader.look(*crop, candidate.glyphs.emplace_back());
    candidate.evidence = first_evidence(candidate, crops);
    candidate.path = path_by(candidate, candidate.evidence);
    judge(candidate, candidate.evidence);
    candidate.faults.first_digit = look_at_first_digit(candidate, crops);
    if (candidate.faults.first_digit == FirstDigit::foreign) candidate.rank -= 4.0;
    constexpr double kAwayFromZero = 2.0;
    const bool own_digit = candidate.faults.first_digit == FirstDigit::confirmed;
    if (!own_digit && never_near_zero(candidate)) candidate.rank -= kAwayFromZero;
    candidate.faults.leaves_out_digit = leaves_out_a_digit(candidate, crops, net);
    if (candidate.faults.leaves_out_digit) candidate.rank -= 4.0;
    return candidate;
}

bool has_fault(const Candidate& candidate) {
    constexpr double kHardlyRead = 0.5;
    const PathFaults& faults = candidate.faults;
    return faults.jumps > 0 || faults.last_digit_rests || faults.beyond_reels ||
           faults.leaves_out_digit || faults.first_digit == FirstDigit::foreign ||
           share_sure(candidate.path) < kHardlyRead;
}

std::vector<NumberGrid> without_fault(const Candidate& candidate) {
    const PathFaults& faults = candidate.faults;
    std::vector<NumberGrid> others;
    if (candidate.grid.inches) return others;
    NumberGrid grid = candidate.grid;
    // A longer number is read without its last digit where the cells behind it say nothing.
    if (faults.leaves_out_digit && grid.padding == Padding::left && grid.decimals > 0 &&
        !grid.bare_end) {
        others.push_back(grid);
        others.back().bare_end = true;
    }
    if (faults.last_digit_rests && grid.places + grid.decimals > 1) {
        (grid.decimals > 0 ? grid.decimals : grid.places) -= 1;
        others.push_back(grid);
        return others;
    }
    const bool foreign = faults.first_digit == FirstDigit::foreign;
    if ((foreign || faults.jumps > 0 || faults.beyond_reels) && grid.places > 1) {
        grid.sign_before = foreign;
        --grid.places;
        grid.first_px += grid.band.pitch_px;
        others.push_back(grid);
        // A sign that stays leaves a growing number no way but to the right.
        if (foreign && grid.padding != Padding::left) {
            grid.padding = Padding::left;
            others.push_back(grid);
        }
    }
    return others;
}

std::vector<NumberGrid> one_place_longer(const NumberGrid& grid) {
    constexpr int kMostPlaces = 5;
    std::vector<NumberGrid> longer;
    if (grid.inches || grid.places == kMostPlaces) return longer;
    const auto add = [&](Padding padding, double lead_px) {
        NumberGrid other = grid;
        other.padding = padding;
        other.lead_px = padding == Padding::part ? lead_px : 0.0;
        other.places += 1;
        other.first_px -= lead_px;
        if (other.first_px >= 0.0) longer.push_back(other);
    };
    const double pitch_px = grid.band.pitch_px;
    switch (grid.padding) {
        case Padding::left: add(Padding::left, 0.0); break;
        case Padding::part: add(Padding::part, grid.lead_px); break;
        case Padding::blanks: add(Padding::blanks, pitch_px); break;
        case Padding::zeros:
            // Not grown so far: any way is open.
            add(Padding::blanks, pitch_px);
            add(Padding::left, 0.0);
            add(Padding::part, 0.35 * pitch_px);
            add(Padding::part, 0.6 * pitch_px);
            break;
    }
    return longer;
}

std::optional<NumberGrid> pushed_by_minus(const NumberGrid& grid, const LocatedLine& line,
                                          std::span<const LineCrop* const> crops,
                                          const GlyphNet& net) {
    constexpr std::size_t kLooks = 48;
    constexpr int kFewest = 2;
    constexpr float kMinus = 1.0F;  // logit
    NumberGrid pushed = grid;
    pushed.padding = Padding::zeros;
    pushed.minus_pushes = true;
    // Moved on by the minus, the number seems to have a place more.
    if (grid.padding == Padding::left) --pushed.places;
    const bool padded = grid.padding == Padding::left || grid.padding == Padding::zeros;
    if (!padded || grid.inches || grid.sign_before || pushed.places < 2 || !fits_cells(pushed)) {
        return std::nullopt;
    }
    const cv::Rect2d cell(grid.first_px, grid.band.top_px, grid.band.pitch_px, grid.band.height_px);
    const auto shown = std::ranges::count_if(
        seen_in(cell, crops, kLooks, net, strokes_of(line)),
        [](const GlyphLogProbs& glyph) { return class_logit(glyph, Glyph::minus) > kMinus; });
    return shown >= kFewest ? std::optional(pushed) : std::nullopt;
}

void adapt(Candidate& candidate, const GlyphNet& net) {
    constexpr int kRounds = 3;
    for (int round = 0; round < kRounds; ++round) {
        const std::vector<GlyphExample> examples =
            sure_digits(candidate.structure.shape, candidate.path, candidate.glyphs);
        OwnGlyphs own = learned(net.last_layer(), examples);
        std::vector<std::vector<GlyphLogProbs>> seen;
        std::vector<LineEvidence> evidence = candidate.evidence;
        for (std::size_t i = 0; i < evidence.size(); ++i) {
            seen.push_back(seen_by(own, candidate.glyphs[i]));
            evidence[i].cost = costs_of(seen.back());
        }
        CounterPath path = path_by(candidate, evidence);
        if (!is_sound(candidate.path, path, candidate.glyphs, seen)) return;
        candidate.path = std::move(path);
        candidate.evidence = std::move(evidence);
        candidate.structure.own_glyphs = std::make_shared<const OwnGlyphs>(own);
    }
}

std::vector<const LineCrop*> crops_read(const Candidate& candidate,
                                        std::span<const LineCrop* const> crops, bool surely) {
    std::vector<const LineCrop*> chosen;
    for (std::size_t i = 0; i < crops.size(); ++i) {
        const bool sure = candidate.path.values[i].probability >= kSurePath;
        if (sure == surely) chosen.push_back(crops[i]);
    }
    return chosen;
}

std::vector<NumberSpan> sure_spans(const Candidate& candidate,
                                   std::span<const LineCrop* const> crops) {
    constexpr std::size_t kEnough = 24;
    const LineStructure& structure = candidate.structure;
    std::vector<NumberSpan> all;
    for (std::size_t i = 0; i < crops.size(); ++i) {
        const PathValue& value = candidate.path.values[i];
        const WrittenLayout* layout = layout_of(structure.shape, value.ticks);
        if (value.probability < kSurePath || layout == nullptr) continue;
        NumberSpan span{crops[i], 1e9, 0.0};
        for (std::size_t cell = 0; cell < structure.cell_left_px.size(); ++cell) {
            const CellRole::Kind kind = layout->cells[cell].kind;
            if (kind == CellRole::Kind::other || kind == CellRole::Kind::no_digit ||
                kind == CellRole::Kind::any) {
                continue;
            }
            const double left = structure.cell_left_px[cell];
            span.from_px = std::min(span.from_px, left);
            span.to_px = std::max(span.to_px, left + structure.cell_width_px[cell]);
        }
        all.push_back(span);
    }
    std::vector<NumberSpan> chosen;
    const std::size_t stride = std::max<std::size_t>(1, all.size() / kEnough);
    for (std::size_t i = 0; i < all.size(); i += stride) chosen.push_back(all[i]);
    return chosen;
}

double counter_probability(const Candidate& candidate) {
    const LineStructure& structure = candidate.structure;
    const double tick_m = metres_to_the_tick(structure.format);
    const TrustedPath told = trusted(candidate.path, structure.shape, candidate.evidence,
                                     reel_motion(tick_m), kSurePath);
    return kind_of(told.samples, candidate.evidence, structure.format, tick_m).counter_probability;
}

std::vector<SeenCrop> seen_crops(const Candidate& candidate, std::span<const LineCrop* const> crops,
                                 std::span<const LineCrop> all) {
    std::vector<SeenCrop> seen;
    for (std::size_t i = 0; i < crops.size(); ++i) {
        seen.push_back({static_cast<std::size_t>(crops[i] - all.data()), candidate.evidence[i]});
        seen.back().evidence.edges = edges_of(candidate.glyphs[i]);
    }
    return seen;
}

bool changes(const CounterPath& path) {
    const PathValue* first = nullptr;
    for (const PathValue& value : path.values) {
        if (value.probability < kSurePath) continue;
        if (first == nullptr) first = &value;
        if (value.ticks != first->ticks) return true;
    }
    return false;
}

bool always_negative(const CounterPath& path) {
    constexpr double kNearlyAll = 0.9;
    int sure = 0;
    int negative = 0;
    for (const PathValue& value : path.values) {
        if (value.probability < kSurePath) continue;
        if (value.ticks > 0) return false;
        ++sure;
        negative += value.ticks < 0;
    }
    // A plus stands before 0.0 too, where the counter is set, and that is read without a sign.
    return sure > 0 && negative >= kNearlyAll * sure;
}

void read_sign_as_plus(Candidate& candidate) {
    std::vector<WrittenLayout>& layouts = candidate.structure.shape.layouts;
    std::vector<WrittenLayout> read;
    for (const WrittenLayout& layout : layouts) {
        if (layout.negative) continue;
        const auto with_sign = std::ranges::find_if(layouts, [&](const WrittenLayout& other) {
            return other.negative && other.most == layout.most;
        });
        read.push_back(layout);
        if (with_sign == layouts.end()) continue;
        read.back().cells = with_sign->cells;
        for (CellRole& role : read.back().cells) {
            if (role.kind == CellRole::Kind::minus) role.kind = CellRole::Kind::any;
        }
    }
    layouts = std::move(read);
    for (PathValue& value : candidate.path.values) value.ticks = std::llabs(value.ticks);
}

bool same_readings(const Candidate& a, const Candidate& b) {
    return a.grid.inches == b.grid.inches && a.grid.decimals == b.grid.decimals && same_ticks(a, b);
}

bool same_ticks(const Candidate& a, const Candidate& b) {
    int both = 0;
    int same = 0;
    for (std::size_t i = 0; i < a.path.values.size(); ++i) {
        const PathValue& of_a = a.path.values[i];
        const PathValue& of_b = b.path.values[i];
        if (of_a.probability < kSurePath || of_b.probability < kSurePath) continue;
        ++both;
        same += of_a.ticks == of_b.ticks;
    }
    return both > 0 && same * 100 >= both * 98;
}

}  // namespace sondeline
