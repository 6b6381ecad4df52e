#include "footage/structure_search.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "footage/candidate_list.hpp"
#include "footage/first_digit.hpp"
#include "footage/inches.hpp"
#include "footage/layout_doubt.hpp"
#include "footage/line_marks.hpp"
#include "footage/number_shape.hpp"
#include "footage/seen_point.hpp"
#include "footage/structure_candidate.hpp"
#include "footage/text_bands.hpp"
#include "terms/units.hpp"

namespace sondeline {

namespace {

constexpr std::size_t kCropsOfMap = 24;
constexpr std::size_t kCropsOfRefining = 16;
constexpr std::size_t kCropsOfDecoding = 240;
constexpr int kStepsPerPitch = 8;
constexpr int kMostBands = 2;
constexpr std::size_t kGridsOfBand = 3;
constexpr int kMostStructures = 3;
constexpr double kLikelyCounter = 0.5;
constexpr double kContender = 1.0;  // nats a crop below the best that are followed to the end

GlyphMap map_of(const TextBand& band, const LocatedLine& line,
                std::span<const LineCrop* const> crops, const GlyphNet& net) {
    const double from = std::max(0.0, line.text.x - 3.0 * band.pitch_px);
    const double to =
        std::min<double>(line.crop.width, line.text.x + line.text.width + 1.5 * band.pitch_px);
    return {crops, net, strokes_of(line), band, from, to, kStepsPerPitch};
}

std::vector<const LineCrop*> thinned(const std::vector<const LineCrop*>& crops, std::size_t most) {
    if (crops.size() <= most) return crops;
    std::vector<const LineCrop*> chosen;
    for (std::size_t i = 0; i < most; ++i) chosen.push_back(crops[i * crops.size() / most]);
    return chosen;
}

class StructureSearch {
  public:
    StructureSearch(const LocatedLine& line, BandsOfLine likely, std::span<const LineCrop> crops,
                    const GlyphNet& net)
        : line_(line),
          likely_(std::move(likely)),
          crops_(crops),
          net_(net),
          of_map_(spread_crops(crops, kCropsOfMap)),
          of_refining_(spread_crops(crops, kCropsOfRefining)),
          of_decoding_(spread_crops(crops, kCropsOfDecoding)) {
        line_.light_on_dark = likely_.light_on_dark;
    }

    LineSearch run() {
        LineSearch search;
        std::vector<Candidate> candidates;
        for (const NumberGrid& grid : likely_grids(search.kind, search.marked)) {
            try_grid(candidates, grid);
        }
        // A sign or a letter taken for a digit raises the score of the other bands.
        if (std::ranges::all_of(candidates, has_fault)) {
            for (const NumberGrid& grid : spare_grids_) try_grid(candidates, grid);
        }
        std::erase_if(candidates, [](const Candidate& c) { return c.path.score <= 0.0; });
        if (candidates.empty()) return search;
        mark_down_points_elsewhere(candidates);
        const bool is_marked = search.kind == LineKind::date || search.kind == LineKind::clock;
        leave_out_still(candidates);
        try_inches(candidates);
        try_without_faults(candidates);
        try_pushed_by_minus(candidates);
        try_longer(candidates);
        try_inches_aside(candidates);
        if (!changes(candidates.front().path)) {
            if (!is_marked) search.kind = LineKind::still_text;
            return search;
        }
        keep_different(candidates);
        put_seen_point_first(candidates);
        finish(candidates);
        if (is_marked && candidates.front().structure.counter_probability < kLikelyCounter) {
            return search;
        }
        if (search.kind != LineKind::clock) search.marked.reset();
        search.kind = LineKind::counter;
        for (Candidate& candidate : candidates) {
            if (search.structures.size() == kMostStructures) break;
            candidate.structure.seen = seen_crops(candidate, of_decoding_, crops_);
            candidate.structure.share_read =
                static_cast<double>(crops_read(candidate, of_decoding_, true).size()) /
                static_cast<double>(of_decoding_.size());
            search.structures.push_back(std::move(candidate.structure));
        }
        return search;
    }

  private:
    std::vector<NumberGrid> likely_grids(LineKind& kind, std::optional<MarkedBand>& marked) {
        std::vector<NumberGrid> grids;
        kind = LineKind::unreadable;
        for (const TextBand& band : likely_.bands) {
            const GlyphMap map = map_of(band, line_, of_map_, net_);
            std::vector<NumberGrid> found = grids_in(map, kGridsOfBand);
            if (found.empty()) continue;
            if (grids.empty() && holds_mark(map, found.front(), Glyph::colon)) {
                kind = LineKind::clock;
                marked = {band.top_px, band.height_px, band.pitch_px};
            }
            if (kind == LineKind::clock) {
                // Some displays write the counter close behind it.
                found = grids_behind_colons(map, kGridsOfBand);
                if (found.empty()) return grids;
            } else if (grids.empty() && holds_mark(map, found.front(), Glyph::slash)) {
                kind = LineKind::date;
                marked = {band.top_px, band.height_px, band.pitch_px};
                // Strokes of a letter before the number can look like a slash between two digits.
                if (!digits_differ(map)) return {};
            }
            if (grids.empty() && !digits_differ(map)) {
                if (kind != LineKind::clock) kind = LineKind::still_text;
                return {};
            }
            std::erase_if(found, [](const NumberGrid& grid) { return !fits_cells(grid); });
            if (!grids.empty() && !found.empty() && found[0].score < 0.8 * grids[0].score) {
                spare_grids_ = std::move(found);
                break;
            }
            grids.insert(grids.end(), found.begin(), found.end());
        }
        return grids;
    }

    void try_grid(std::vector<Candidate>& candidates, const NumberGrid& rough) const {
        const NumberGrid grid = refined(rough, of_refining_, net_, strokes_of(line_));
        candidates.push_back(tried(grid, line_, of_decoding_, net_));
    }

    // Characters of a label are taken for digits, or every other character is passed over.
    void mark_down_points_elsewhere(std::vector<Candidate>& candidates) const {
        constexpr double kPointElsewhere = 4.0;
        for (Candidate& candidate : candidates) {
            if (!point_hardly_seen(candidate.grid) || !has_room_of_a_point(candidate.grid))
                continue;
            const std::optional<int> behind = digits_behind_ink(candidate, of_decoding_);
            if (behind && *behind != candidate.grid.decimals) candidate.rank -= kPointElsewhere;
        }
    }

    // Of the best few first, for the best may be one that no remedy helps; then of the best alone.
    void try_without_faults(std::vector<Candidate>& candidates) const {
        constexpr int kRounds = 3;
        constexpr std::size_t kFew = 4;
        sort_by_rank(candidates);
        for (int round = 0; round < kRounds; ++round) {
            const std::size_t few = std::min(round == 0 ? kFew : 1, candidates.size());
            std::vector<NumberGrid> others;
            for (std::size_t i = 0; i < few; ++i) add_new(others, without_fault(candidates[i]));
            if (others.empty()) return;
            for (const NumberGrid& grid : others) {
                candidates.push_back(tried(grid, line_, of_decoding_, net_));
            }
            const double best = candidates.front().rank;
            sort_by_rank(candidates);
            if (candidates.front().rank <= best) return;
        }
    }

    // Feet alone are a poorer reading than feet and inches, and can lose to a prime taken for a
    // digit or to inches taken for tenths.
    void try_inches(std::vector<Candidate>& candidates) const {
        std::vector<Candidate> more;
        std::vector<NumberGrid> known;
        for (const Candidate& candidate : candidates) {
            if (candidate.grid.inches) continue;
            const bool whole = candidate.grid.decimals == 0;
            if (!whole && !point_hardly_seen(candidate.grid)) continue;
            NumberGrid feet = candidate.grid;
            feet.decimals = 0;
            feet.gap_px = 0.0;
            if (std::ranges::any_of(known, [&](const auto& k) { return same_values(k, feet); })) {
                continue;
            }
            known.push_back(feet);
            const std::vector<NumberGrid> behind =
                inches_behind(whole ? candidate : tried(feet, line_, of_decoding_, net_));
            for (const NumberGrid& inches : behind) {
                if (fits_cells(inches)) more.push_back(tried(inches, line_, of_decoding_, net_));
            }
        }
        for (Candidate& candidate : more) candidates.push_back(std::move(candidate));
        sort_by_rank(candidates);
    }

    std::vector<NumberGrid> inches_behind(const Candidate& feet) const {
        return with_inches(feet.grid, sure_spans(feet, of_decoding_), net_, strokes_of(line_));
    }

    // A minus before padded digits that nothing keeps in place.
    void try_pushed_by_minus(std::vector<Candidate>& candidates) const {
        std::vector<NumberGrid> pushed;
        for (const Candidate& candidate : candidates) {
            const auto grid = pushed_by_minus(candidate.grid, line_, of_decoding_, net_);
            if (grid) add_new(pushed, {*grid});
        }
        for (const NumberGrid& grid : pushed) {
            candidates.push_back(tried(grid, line_, of_decoding_, net_));
        }
        sort_by_rank(candidates);
    }

    // What the best candidate cannot read may be the same number with a digit more, of which its
    // own crops say too little to tell where it stands.
    void try_longer(std::vector<Candidate>& candidates) const {
        constexpr double kWorthALook = 0.02;
        constexpr std::size_t kOfEach = kCropsOfRefining / 2;
        const Candidate& best = candidates.front();
        const std::vector<const LineCrop*> unread = crops_read(best, of_decoding_, false);
        const auto enough = kWorthALook * static_cast<double>(of_decoding_.size());
        if (static_cast<double>(unread.size()) < enough) return;
        std::vector<const LineCrop*> crops = thinned(crops_read(best, of_decoding_, true), kOfEach);
        const std::vector<const LineCrop*> more = thinned(unread, kOfEach);
        crops.insert(crops.end(), more.begin(), more.end());
        // A sign that stays where it is leaves room behind it only.
        const bool sign_stays =
            best.grid.sign_before &&
            same_before(best, std::span(crops).first(crops.size() - more.size()), more);
        for (const NumberGrid& longer : one_place_longer(best.grid)) {
            if (!fits_cells(longer) || (sign_stays && longer.padding != Padding::left)) continue;
            const NumberGrid grid = refined(longer, crops, net_, strokes_of(line_));
            if (fits_cells(grid)) candidates.push_back(tried(grid, line_, of_decoding_, net_));
        }
        sort_by_rank(candidates);
    }

    // Ten and eleven inches that stand aside are left unread, or read as nine.
    void try_inches_aside(std::vector<Candidate>& candidates) const {
        if (!candidates.front().grid.inches) return;
        for (const NumberGrid& grid : inches_aside(candidates)) {
            if (fits_cells(grid)) candidates.push_back(tried(grid, line_, of_decoding_, net_));
        }
        sort_by_rank(candidates);
    }

    UnitGuess unit_of(const Candidate& candidate) const {
        return unit_beside(sure_spans(candidate, of_decoding_), net_, strokes_of(line_),
                           candidate.grid.band);
    }

    // Displays: the point that no cell holds is looked for between the digits.
    void place_point(std::vector<Candidate>& candidates) {
        Candidate& best = candidates.front();
        if (best.grid.inches || point_stands_in_room(best.grid)) return;
        if (point_well_seen(best.grid)) return;
        // What writes a unit is no display, and gives its point room.
        if (unit_of(best).unit != CounterUnit::unknown) return;
        const std::optional<int> behind = digits_behind_point(best, of_decoding_);
        if (!behind) {
            point_seen_ = put_point_at_feet_first(candidates, of_decoding_);
            return;
        }
        point_seen_ = *behind == best.grid.decimals;
        if (point_seen_) return;
        NumberGrid grid = best.grid;
        grid.places += grid.decimals - *behind;
        grid.decimals = *behind;
        // What room there was in the wrong place belongs to all cells.
        grid.band.pitch_px += grid.gap_px / (grid.places + grid.decimals);
        grid.gap_px = 0.0;
        if (grid.places < 1 || !fits_cells(grid)) return;
        grid = refined(grid, of_refining_, net_, strokes_of(line_));
        Candidate other = tried(grid, line_, of_decoding_, net_);
        constexpr double kAsWell = 1.0;  // nats a crop
        if (other.path.score <= best.path.score - kAsWell) return;
        best = std::move(other);
        point_seen_ = true;
        keep_different(candidates);
    }

    void finish(std::vector<Candidate>& candidates) {
        place_point(candidates);
        const double least_rank = candidates.front().rank - kContender;
        std::erase_if(candidates, [&](const Candidate& c) { return c.rank < least_rank; });
        for (Candidate& candidate : candidates) {
            adapt(candidate, net_);
            candidate.structure.doubt = doubt_of_first_digit(candidate);
            if (candidate.structure.doubt.empty() && candidate.faults.leaves_out_digit) {
                candidate.structure.doubt = "a further digit seems to stand behind its last";
            }
            if (always_negative(candidate.path)) {
                read_sign_as_plus(candidate);
                if (candidate.structure.doubt.empty()) {
                    candidate.structure.doubt =
                        "the sign before it is always there: it is read as a plus, and could be a "
                        "minus";
                }
            }
            find_unit(candidate);
            candidate.structure.counter_probability = counter_probability(candidate);
        }
        Candidate& best = candidates[0];
        doubt_points_hardly_seen(candidates, point_seen_);
        if (candidates.size() < 2) return;
        constexpr double kClose = 0.3;
        const NumberGrid& next = candidates[1].grid;
        const double close = next.inches == best.grid.inches ? kClose : kContender;
        if (candidates[1].rank <= best.rank - close || only_cuts_a_digit(candidates[1], best)) {
            return;
        }
        // Of two that may both be right neither is without doubt.
        best.structure.doubt = what_differs(best.grid, next);
        if (candidates[1].structure.doubt.empty()) {
            candidates[1].structure.doubt = what_differs(next, best.grid);
        }
        if (only_point_differs(best.grid, next)) best.structure.format.point_in_doubt = true;
    }

    void find_unit(Candidate& candidate) const {
        constexpr float kMarksSeen = 0.99F;
        if (candidate.grid.inches) {
            candidate.structure.format.unit_probability = kMarksSeen;
            return;
        }
        const UnitGuess unit = unit_of(candidate);
        candidate.structure.format.unit = unit.unit;
        candidate.structure.format.unit_probability = unit.probability;
        std::vector<NumberGrid> inches;
        if (unit.unit != CounterUnit::metre) inches = inches_behind(candidate);
        if (inches.empty() || !fits_cells(inches.front())) {
            // Reels count in tenths or finer: what is behind the whole units was not seen.
            if (candidate.grid.decimals == 0 && candidate.structure.doubt.empty()) {
                candidate.structure.doubt = "it shows whole units only; there may be more behind";
            }
            return;
        }
        Candidate other = tried(inches.front(), line_, of_decoding_, net_);
        if (other.rank < candidate.rank) {
            candidate.structure.doubt = "inches may stand behind the feet";
            return;
        }
        candidate = std::move(other);
        adapt(candidate, net_);
        candidate.structure.format.unit_probability = kMarksSeen;
    }

    LocatedLine line_;
    BandsOfLine likely_;
    std::span<const LineCrop> crops_;
    const GlyphNet& net_;
    std::vector<const LineCrop*> of_map_;
    std::vector<const LineCrop*> of_refining_;
    std::vector<const LineCrop*> of_decoding_;
    std::vector<NumberGrid> spare_grids_;  // of a band that looks worse than the others
    bool point_seen_ = false;              // between the digits of the best candidate
};

// Of a line read with dark and light exchanged, whether that makes more of it.
bool tells_more(const LineSearch& exchanged, const LineSearch& first) {
    if (exchanged.structures.empty()) return false;
    if (first.kind == LineKind::clock || first.kind == LineKind::date) return false;
    if (first.structures.empty()) return true;
    const auto judged = [](const LineSearch& search) {
        const LineStructure& best = search.structures.front();
        return std::pair(best.counter_probability >= kLikelyCounter, best.score);
    };
    return judged(exchanged) > judged(first);
}

}  // namespace

double metres_to_the_tick(const CounterFormat& format) {
    if (format.unit == CounterUnit::feet_and_inches) return foot_m / 12.0;
    const double unit_m = format.unit == CounterUnit::metre ? 1.0 : foot_m;
    return unit_m * std::pow(10.0, -format.decimals);
}

LineSearch find_line_structures(const LocatedLine& line, std::span<const LineCrop> crops,
                                const GlyphNet& net, const LineReaderOptions&) {
    if (crops.size() < 4) return {};
    std::optional<LineSearch> best;
    for (BandsOfLine& way : bands_either_way(line, crops, net, kMostBands)) {
        LineSearch search = StructureSearch(line, std::move(way), crops, net).run();
        if (!best || tells_more(search, *best)) best = std::move(search);
    }
    return best.value_or(LineSearch{});
}

}  // namespace sondeline
