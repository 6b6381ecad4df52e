#include "footage/structure_search.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "footage/adaptation.hpp"
#include "footage/counter_path.hpp"
#include "footage/line_cells.hpp"
#include "footage/number_shape.hpp"
#include "footage/unit_text.hpp"

namespace sondeline {

namespace {

constexpr std::size_t kCropsOfMap = 24;
constexpr std::size_t kCropsOfRefining = 12;
constexpr std::size_t kCropsOfDecoding = 240;
constexpr int kStepsPerPitch = 8;
constexpr int kMostBands = 2;
constexpr int kMostStructures = 3;
constexpr double kContender = 1.0;  // nats a crop below the best that are followed to the end
constexpr float kSurePath = 0.98F;

struct Candidate {
    NumberGrid grid;
    LineStructure structure;
    CounterPath path;
    std::vector<CellGlyphs> glyphs;  // of the crops it was decoded on
    double rank = 0.0;               // path score and what speaks for the place of the point
};

GlyphMap map_of(const TextBand& band, const LocatedLine& line,
                std::span<const LineCrop* const> crops, const GlyphNet& net) {
    const double from = std::max(0.0, line.text.x - 3.0 * band.pitch_px);
    const double to =
        std::min<double>(line.crop.width, line.text.x + line.text.width + 1.5 * band.pitch_px);
    return {crops, net, strokes_of(line), band, from, to, kStepsPerPitch};
}

// Whether the character stands next to the number: within two pitches of its ends, or inside.
bool holds_mark(const GlyphMap& map, const NumberGrid& grid, Glyph mark) {
    const double from = grid.first_px - 2.0 * grid.band.pitch_px;
    const double to =
        cell_left_px(grid, grid.places, grid.places + grid.decimals - 1) + 2.0 * grid.band.pitch_px;
    for (int place = 0; place < map.places(); ++place) {
        const double left = map.left_px(place);
        if (left >= from && left <= to && map.mean_logit(place, mark) > 0.5F) return true;
    }
    return false;
}

// Whether any crop surely shows another digit than the others somewhere on the line.
bool digits_differ(const GlyphMap& map) {
    constexpr float kSureDigit = 2.0F;
    for (int place = 0; place < map.places(); ++place) {
        int first = -1;
        for (int crop = 0; crop < map.crops(); ++crop) {
            if (map.digit(crop, place) < kSureDigit) continue;
            const GlyphLogProbs& seen = map.at(crop, place);
            const int digit =
                static_cast<int>(std::max_element(seen.begin(), seen.begin() + 10) - seen.begin());
            if (first >= 0 && digit != first) return true;
            first = digit;
        }
    }
    return false;
}

// Values of the path that are sure and change at least once.
bool changes(const CounterPath& path) {
    const PathValue* first = nullptr;
    for (const PathValue& value : path.values) {
        if (value.probability < kSurePath) continue;
        if (first == nullptr) first = &value;
        if (value.ticks != first->ticks) return true;
    }
    return false;
}

bool signed_in_front(const NumberGrid& grid, std::span<const LineCrop* const> crops,
                     const GlyphNet& net, Strokes strokes) {
    if (grid.padding != Padding::zeros || grid.first_px < grid.band.pitch_px) return false;
    int shown = 0;
    for (const LineCrop* crop : crops) {
        const cv::Rect2d cell(grid.first_px - grid.band.pitch_px, grid.band.top_px,
                              grid.band.pitch_px, grid.band.height_px);
        const GlyphPatch patch = patch_from(crop->luma, cell, strokes);
        GlyphLogProbs seen;
        net.classify({&patch, 1}, {&seen, 1});
        shown += class_logit(seen, Glyph::minus) > 0.0F || class_logit(seen, Glyph::plus) > 0.0F;
    }
    return shown * 8 > static_cast<int>(crops.size());
}

CounterPath path_of(const Candidate& candidate, std::span<const LineCrop* const> crops,
                    const LastLayer* layer) {
    std::vector<LineEvidence> evidence;
    for (std::size_t i = 0; i < crops.size(); ++i) {
        evidence.push_back(
            {crops[i]->time_s, crops[i]->picture_motion, costs_of(candidate.glyphs[i], layer)});
    }
    const ReelMotion motion = reel_motion(metres_to_the_tick(candidate.structure.format));
    return decode_path(candidate.structure.shape, evidence, motion);
}

void decode(Candidate& candidate, std::span<const LineCrop* const> crops, const GlyphNet& net) {
    for (const LineCrop* crop : crops) {
        candidate.glyphs.push_back(look_at_cells(*crop, candidate.structure, net));
    }
    candidate.path = path_of(candidate, crops, nullptr);
    candidate.structure.score = candidate.path.score;
    candidate.rank = candidate.path.score + 0.2 * candidate.grid.point_logit;
}

void adapt(Candidate& candidate, std::span<const LineCrop* const> crops, const GlyphNet& net) {
    const std::vector<GlyphExample> examples =
        sure_digits(candidate.structure.shape, candidate.path, candidate.glyphs);
    const LastLayer layer = refitted(net.last_layer(), examples);
    const CounterPath path = path_of(candidate, crops, &layer);
    if (!is_sound(layer, candidate.path, path, candidate.glyphs)) return;
    candidate.path = path;
    candidate.structure.own_layer = std::make_shared<const LastLayer>(layer);
}

// Where the number stands in crops that were read surely, for looking beside it.
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
            if (layout->cells[cell].kind == CellRole::Kind::other) continue;
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

std::string difference(const NumberGrid& best, const NumberGrid& other) {
    if (best.decimals != other.decimals &&
        best.places + best.decimals == other.places + other.decimals) {
        return fmt::format("the decimal point could stand {} further {}",
                           std::abs(best.decimals - other.decimals) == 1 ? "one place" : "places",
                           other.decimals > best.decimals ? "left" : "right");
    }
    if (other.places + other.decimals > best.places + best.decimals) {
        return "there could be a further digit";
    }
    return "one of the digits could belong to something else";
}

class StructureSearch {
  public:
    StructureSearch(const LocatedLine& line, std::span<const LineCrop> crops, const GlyphNet& net)
        : line_(line),
          crops_(crops),
          net_(net),
          of_map_(spread_crops(crops, kCropsOfMap)),
          of_refining_(spread_crops(crops, kCropsOfRefining)),
          of_decoding_(spread_crops(crops, kCropsOfDecoding)) {}

    LineSearch run() {
        LineSearch search;
        std::vector<NumberGrid> grids = likely_grids(search.kind);
        std::vector<Candidate> candidates;
        for (const NumberGrid& grid : grids) candidates.push_back(tried(grid));
        std::erase_if(candidates, [](const Candidate& c) { return c.path.score <= 0.0; });
        if (candidates.empty()) return search;
        std::stable_sort(candidates.begin(), candidates.end(),
                         [](const Candidate& a, const Candidate& b) { return a.rank > b.rank; });
        if (!changes(candidates.front().path)) {
            search.kind = LineKind::still_text;
            return search;
        }
        keep_different(candidates);
        finish(candidates);
        search.kind = LineKind::counter;
        for (Candidate& candidate : candidates) {
            if (search.structures.size() == kMostStructures) break;
            search.structures.push_back(std::move(candidate.structure));
        }
        return search;
    }

  private:
    std::vector<NumberGrid> likely_grids(LineKind& kind) {
        std::vector<NumberGrid> grids;
        kind = LineKind::unreadable;
        for (const TextBand& band : likely_bands(line_, crops_, net_, kMostBands)) {
            const GlyphMap map = map_of(band, line_, of_map_, net_);
            const std::vector<NumberGrid> found = grids_in(map, 2);
            if (found.empty()) continue;
            if (grids.empty() && holds_mark(map, found.front(), Glyph::colon)) {
                kind = LineKind::clock;
                return {};
            }
            if (grids.empty() && holds_mark(map, found.front(), Glyph::slash)) {
                kind = LineKind::date;
                return {};
            }
            if (grids.empty() && !digits_differ(map)) {
                kind = LineKind::still_text;
                return {};
            }
            if (!grids.empty() && found.front().score < 0.8 * grids.front().score) break;
            grids.insert(grids.end(), found.begin(), found.end());
        }
        return grids;
    }

    Candidate tried(const NumberGrid& rough) {
        Candidate candidate;
        candidate.grid = refined(rough, of_refining_, net_, strokes_of(line_));
        const bool sign = signed_in_front(candidate.grid, of_refining_, net_, strokes_of(line_));
        candidate.structure = structure_of(candidate.grid, line_, sign);
        decode(candidate, of_decoding_, net_);
        return candidate;
    }

    // Refinement may have led two candidates to the same grid.
    static void keep_different(std::vector<Candidate>& candidates) {
        std::vector<Candidate> kept;
        for (Candidate& candidate : candidates) {
            const bool known = std::any_of(kept.begin(), kept.end(), [&](const Candidate& other) {
                return same_values(candidate.grid, other.grid);
            });
            if (!known) kept.push_back(std::move(candidate));
        }
        candidates = std::move(kept);
    }

    void finish(std::vector<Candidate>& candidates) {
        const double least_rank = candidates.front().rank - kContender;
        std::erase_if(candidates, [&](const Candidate& c) { return c.rank < least_rank; });
        for (Candidate& candidate : candidates) {
            adapt(candidate, of_decoding_, net_);
            const UnitGuess unit = unit_beside(sure_spans(candidate, of_decoding_), net_,
                                               strokes_of(line_), candidate.grid.band);
            candidate.structure.format.unit = unit.unit;
            candidate.structure.format.unit_probability = unit.probability;
        }
        if (candidates.size() < 2) return;
        constexpr double kClose = 0.3;
        Candidate& best = candidates[0];
        if (candidates[1].rank > best.rank - kClose) {
            best.structure.doubt = difference(best.grid, candidates[1].grid);
        }
    }

    const LocatedLine& line_;
    std::span<const LineCrop> crops_;
    const GlyphNet& net_;
    std::vector<const LineCrop*> of_map_;
    std::vector<const LineCrop*> of_refining_;
    std::vector<const LineCrop*> of_decoding_;
};

}  // namespace

double metres_to_the_tick(const CounterFormat& format) {
    if (format.unit == CounterUnit::feet_and_inches) return 0.3048 / 12.0;
    const double unit_m = format.unit == CounterUnit::metre ? 1.0 : 0.3048;
    return unit_m * std::pow(10.0, -format.decimals);
}

LineSearch find_line_structures(const LocatedLine& line, std::span<const LineCrop> crops,
                                const GlyphNet& net, const LineReaderOptions&) {
    if (crops.size() < 4) return {};
    return StructureSearch(line, crops, net).run();
}

}  // namespace sondeline
