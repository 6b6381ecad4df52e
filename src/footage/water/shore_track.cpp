#include "footage/water/shore_track.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <numeric>

namespace sondeline {
namespace {

constexpr int kNarrowest = 7;  // directions between the shores
constexpr int kWidest = 50;    // a surface above the lens is not seen from above
constexpr int kWidths = kWidest - kNarrowest + 1;
constexpr int kPairs = unrolled_directions * kWidths;
constexpr std::uint16_t kNoPair = kPairs;

// In units of the log of likelihood, roughly: a look with two plain shores adds about 4.
constexpr float kEvenness = 2.0F;      // weight of an even surface among a lively wall
constexpr float kPassing = 2.5F;       // weight of what passes other than the wall does …
constexpr float kPassesAlike = 0.45F;  // … where this share would speak neither way
constexpr float kLeastEven = -0.4F;
constexpr float kTurned = 0.15F;  // cost of one turn of both shores
constexpr float kMove = 0.25F;    // cost of a shore's moving by one direction between looks
constexpr float kAppear = 2.4F;   // cost of water's beginning or ending
constexpr float kAgainst = 1.8F;  // what a look must add to be worth following

using Scores = std::array<float, kPairs>;
using Sources = std::array<std::uint16_t, kPairs>;
// As wide as a score, so that the two are chosen side by side.
using WideSources = std::array<std::int32_t, kPairs>;

constexpr int pair_at(int from, int width) {
    return from * kWidths + width - kNarrowest;
}

// Means of a round of values between any two directions.
class RoundSum {
  public:
    explicit RoundSum(const Round& values) {
        for (int i = 0; i < 2 * unrolled_directions; ++i) {
            const auto at = static_cast<std::size_t>(i);
            sum_[at + 1] = sum_[at] + values[static_cast<std::size_t>(wrapped(i))];
        }
    }

    float mean(int from, int to) const {
        return (sum_[static_cast<std::size_t>(to) + 1] - sum_[static_cast<std::size_t>(from)]) /
               static_cast<float>(to - from + 1);
    }

  private:
    std::array<float, 2 * unrolled_directions + 1> sum_{};
};

float turning_cost(int turn) {
    return kTurned * static_cast<float>(std::abs(turn - no_turn));
}

// Of both shores of each pair, along the lines that speak most for them: level water turns both
// outwards, or both inwards, by as much.
Scores edges_of(const WallProfile& profile) {
    Scores best;
    best.fill(std::numeric_limits<float>::lowest());
    for (int turn = 0; turn < shore_turns; ++turn) {
        const Round& begins = profile.shores[static_cast<std::size_t>(turn)].begins;
        const Round& ends = profile.shores[static_cast<std::size_t>(shore_turns - 1 - turn)].ends;
        std::array<float, unrolled_directions + kWidest + 1> wide{};
        for (int i = 0; i < static_cast<int>(wide.size()); ++i) {
            wide[static_cast<std::size_t>(i)] = ends[static_cast<std::size_t>(wrapped(i))];
        }
        for (int from = 0; from < unrolled_directions; ++from) {
            const float begin = begins[static_cast<std::size_t>(from)] - turning_cost(turn);
            float* of_pair = best.data() + pair_at(from, kNarrowest);
            const float* end = wide.data() + from + kNarrowest;
            for (int i = 0; i < kWidths; ++i) of_pair[i] = std::max(of_pair[i], begin + end[i]);
        }
    }
    return best;
}

// The same of one pair.
float edges_of(const WallProfile& profile, int from, int width) {
    float best = std::numeric_limits<float>::lowest();
    for (int turn = 0; turn < shore_turns; ++turn) {
        const Round& begins = profile.shores[static_cast<std::size_t>(turn)].begins;
        const Round& ends = profile.shores[static_cast<std::size_t>(shore_turns - 1 - turn)].ends;
        best = std::max(best, begins[static_cast<std::size_t>(from)] - turning_cost(turn) +
                                  ends[static_cast<std::size_t>(wrapped(from + width))]);
    }
    return best;
}

// What lies between the shores of a pair, against what lies beside them.
class Between {
  public:
    explicit Between(const WallProfile& profile)
        : bustle_(profile.bustle),
          passes_(profile.passes.value_or(Round{})),
          passes_known_(profile.passes.has_value()) {}

    float score(int from, int width) const {
        const float inside = bustle_.mean(from + 2, from + width - 2);
        const float outside = bustle_.mean(from + width + 2, from + unrolled_directions - 2);
        const float even = 0.5F * std::log((outside + 1e-5F) / (inside + 1e-5F));
        const float score = kEvenness * std::clamp(even, kLeastEven, 0.9F) - kAgainst;
        if (!passes_known_) return score;
        return score + kPassing * (kPassesAlike - passes_.mean(from + 3, from + width - 3));
    }

  private:
    RoundSum bustle_;
    RoundSum passes_;
    bool passes_known_;
};

Scores scores_of(const WallProfile& profile) {
    Scores scores = edges_of(profile);
    const Between between(profile);
    for (int from = 0; from < unrolled_directions; ++from) {
        for (int width = kNarrowest; width <= kWidest; ++width) {
            scores[static_cast<std::size_t>(pair_at(from, width))] += between.score(from, width);
        }
    }
    return scores;
}

// Each pair with one beginning from that of another beginning, and a width one wider or narrower:
// two stretches of the array that do not overlap, so that many pairs are chosen at once.
void relax_row(Scores& best, WideSources& source, int to, int from) {
    std::array<float, kWidths - 1> moved;
    std::array<std::int32_t, kWidths - 1> moved_source;
    for (std::size_t i = 0; i < moved.size(); ++i) {
        moved[i] = best[static_cast<std::size_t>(from) + i] - kMove;
        moved_source[i] = source[static_cast<std::size_t>(from) + i];
    }
    float* score = best.data() + to;
    std::int32_t* of_score = source.data() + to;
    for (std::size_t i = 0; i < moved.size(); ++i) {
        const bool better = moved[i] > score[i];
        of_score[i] = better ? moved_source[i] : of_score[i];
        score[i] = better ? moved[i] : score[i];
    }
}

// Best score from which each pair can be reached when moves cost kMove a direction (chamfer over
// the two shores), with the pair it comes from.
void spread(Scores& best, WideSources& source) {
    const auto relax = [&](int to, int from) {
        const auto t = static_cast<std::size_t>(to);
        const auto f = static_cast<std::size_t>(from);
        if (best[f] - kMove > best[t]) {
            best[t] = best[f] - kMove;
            source[t] = source[f];
        }
    };
    // The surface's end moves: the width changes.
    for (int from = 0; from < unrolled_directions; ++from) {
        for (int width = kNarrowest + 1; width <= kWidest; ++width)
            relax(pair_at(from, width), pair_at(from, width - 1));
        for (int width = kWidest - 1; width >= kNarrowest; --width)
            relax(pair_at(from, width), pair_at(from, width + 1));
    }
    // Its beginning moves: both change.
    constexpr int kTurns = unrolled_directions + kWidest;
    for (int i = 0; i < kTurns; ++i) {
        relax_row(best, source, pair_at(wrapped(i), kNarrowest),
                  pair_at(wrapped(i - 1), kNarrowest + 1));
    }
    for (int i = kTurns; i > 0; --i) {
        relax_row(best, source, pair_at(wrapped(i), kNarrowest + 1),
                  pair_at(wrapped(i + 1), kNarrowest));
    }
}

struct Step {
    Sources source{};  // of each pair: the pair before it, or kNoPair
    std::uint16_t dry_source = kNoPair;
};

// Most likely pair, or none, of each look (Viterbi, “Error bounds for convolutional codes”, IEEE
// Transactions on Information Theory 13, 1967).
std::vector<std::uint16_t> best_path(std::span<const WallProfile* const> profiles) {
    std::vector<Step> steps(profiles.size());
    Scores best;
    best.fill(-kAppear);
    WideSources source;
    float dry = 0.0F;
    for (std::size_t i = 0; i < profiles.size(); ++i) {
        Step& step = steps[i];
        std::iota(source.begin(), source.end(), 0);
        const auto top = std::max_element(best.begin(), best.end());
        const float left = *top - kAppear;
        const float entered = dry - kAppear;
        if (left > dry) {
            dry = left;
            step.dry_source = static_cast<std::uint16_t>(top - best.begin());
        }
        spread(best, source);
        for (std::size_t pair = 0; pair < kPairs; ++pair) {
            const bool enters = entered >= best[pair];
            best[pair] = enters ? entered : best[pair];
            step.source[pair] = enters ? kNoPair : static_cast<std::uint16_t>(source[pair]);
        }
        if (profiles[i] == nullptr) continue;
        const Scores scores = scores_of(*profiles[i]);
        for (std::size_t pair = 0; pair < kPairs; ++pair) best[pair] += scores[pair];
    }
    std::vector<std::uint16_t> path(profiles.size(), kNoPair);
    const auto top = std::max_element(best.begin(), best.end());
    std::uint16_t at =
        *top - kAppear > dry ? static_cast<std::uint16_t>(top - best.begin()) : kNoPair;
    for (std::size_t i = profiles.size(); i > 0; --i) {
        path[i - 1] = at;
        at = at == kNoPair ? steps[i - 1].dry_source : steps[i - 1].source[at];
    }
    return path;
}

}  // namespace

std::vector<std::optional<ShorePair>> track_shores(std::span<const WallProfile* const> profiles) {
    std::vector<std::optional<ShorePair>> track(profiles.size());
    const auto path = best_path(profiles);
    for (std::size_t i = 0; i < profiles.size(); ++i) {
        const std::uint16_t at = path[i];
        if (at == kNoPair || profiles[i] == nullptr) continue;
        ShorePair pair;
        pair.from = at / kWidths;
        const int width = at % kWidths + kNarrowest;
        pair.to = pair.from + width;
        pair.weight = edges_of(*profiles[i], pair.from, width) +
                      Between(*profiles[i]).score(pair.from, width);
        track[i] = pair;
    }
    return track;
}

}  // namespace sondeline
