#include "footage/water/water_runs.hpp"

#include <algorithm>
#include <cmath>

#include "footage/water/deepest_seen.hpp"
#include "footage/water/water_odds.hpp"
#include "terms/quantile.hpp"

namespace sondeline {
namespace {

constexpr double kWidestGap_m = 0.7;  // between two looks of one water
constexpr int kMostGapLooks = 3;
constexpr double kRolled_rad = 0.6;  // a head turns no faster from look to look
constexpr std::size_t kFewestLooks = 3;
constexpr std::size_t kFewestOfUnder = 2;  // of those that show water, where the lens goes under
constexpr double kLeastDeepest = 0.08;
constexpr double kShallow = 0.045;  // below it a level may be a running film
constexpr double kLeastLength_m = 0.2;

constexpr double kFaintTail = 0.5;  // of the upper quartile of edges: fainter ends are no water
constexpr double kAbrupt = 0.11;    // share: no water ends so deep, its surface is level
constexpr double kWidestUnseen_m = 1.6;  // between two abrupt ends of one water
constexpr double kWidestUnder_m = 2.0;   // in which the lens goes under
constexpr double kBeforeUnder_m = 1.0;   // from where shores were last seen until it does
constexpr int kFewestUnder = 2;
constexpr double kGrowing = 0.08;       // share: so deep at least before it goes under
constexpr double kEndBound_m = 0.4;     // 95 % of ends that were seen, rendered footage
constexpr double kUnseenBound_m = 0.8;  // of where water was last seen, not of its end
constexpr double kSamePlace_m = 0.02;
constexpr double kMostFilm = 0.085;   // share: a film that runs along the invert
constexpr double kAboveFilm = 0.035;  // of the deepest of standing water

double turned_rad(const PlacedLook& a, const PlacedLook& b) {
    return std::abs(std::remainder(a.look.shores->down_rad - b.look.shores->down_rad, 2.0 * CV_PI));
}

// Indices of the looks that show water, run by run; looks between them that show nothing are passed
// over, and a dry one if water follows at once.
std::vector<std::vector<std::size_t>> wet_chains(std::span<const PlacedLook> looks) {
    std::vector<std::vector<std::size_t>> chains;
    int between = 0;
    int dry = 0;
    bool under = false;
    for (std::size_t i = 0; i < looks.size(); ++i) {
        if (looks[i].state != WaterState::water) {
            ++between;
            dry += looks[i].state == WaterState::dry ? 1 : 0;
            under = under || looks[i].state == WaterState::submerged;
            continue;
        }
        const bool joins = !chains.empty() && [&] {
            const PlacedLook& last = looks[chains.back().back()];
            const double gap_m = looks[i].x_m - last.x_m;
            const bool near = gap_m <= kWidestGap_m && between <= kMostGapLooks && dry <= 1;
            // About where the lens goes under, the surface mirrors the wall.
            return (near || (under && gap_m <= kWidestUnder_m)) &&
                   turned_rad(last, looks[i]) < kRolled_rad;
        }();
        if (joins) {
            chains.back().push_back(i);
        } else {
            chains.push_back({i});
        }
        between = 0;
        dry = 0;
        under = false;
    }
    return chains;
}

// Looks at one place, as when the head stands, are one.
std::size_t places(const std::vector<PlacedLook>& looks) {
    std::size_t count = 0;
    double last_m = 0.0;
    for (const PlacedLook& look : looks) {
        if (count > 0 && look.x_m - last_m < kSamePlace_m) continue;
        last_m = look.x_m;
        ++count;
    }
    return count;
}

// The shallower of the two outermost looks; `sign` 1 at the far end.
double end_share(std::span<const PlacedLook> looks, const std::vector<std::size_t>& chain,
                 double sign) {
    const double last = looks[sign > 0.0 ? chain.back() : chain.front()].share;
    if (chain.size() < 2) return last;
    return std::min(last, looks[sign > 0.0 ? chain[chain.size() - 2] : chain[1]].share);
}

// Deep water hides its shores: seen from near its surface it mirrors the wall, and then the lens
// goes under. Chains that break off deep and go on deep are one water.
std::vector<std::vector<std::size_t>> across_unseen(std::span<const PlacedLook> looks,
                                                    std::vector<std::vector<std::size_t>> chains) {
    std::vector<std::vector<std::size_t>> joined;
    for (std::vector<std::size_t>& chain : chains) {
        const bool joins = !joined.empty() && [&] {
            const std::vector<std::size_t>& last = joined.back();
            return end_share(looks, last, 1.0) >= kAbrupt &&
                   end_share(looks, chain, -1.0) >= kAbrupt &&
                   looks[chain.front()].x_m - looks[last.back()].x_m <= kWidestUnseen_m &&
                   turned_rad(looks[last.back()], looks[chain.front()]) < kRolled_rad;
        }();
        if (joins) {
            joined.back().insert(joined.back().end(), chain.begin(), chain.end());
        } else {
            joined.push_back(std::move(chain));
        }
    }
    return joined;
}

// Where the level, followed over the looks next to one end, comes down to the invert: from the
// deepest of them on. `sign` is 1 at the far end.
std::optional<double> shore_m(const std::vector<PlacedLook>& looks, double sign) {
    constexpr double kReach_m = 0.5;
    const double end_m = sign > 0.0 ? looks.back().x_m : looks.front().x_m;
    const auto near_end = [&](const PlacedLook& look) {
        return std::abs(look.x_m - end_m) <= kReach_m && look.share >= 0.5 * kShallow;
    };
    double deepest = 0.0;
    double deepest_m = end_m;
    for (const PlacedLook& look : looks) {
        if (!near_end(look) || look.share <= deepest) continue;
        deepest = look.share;
        deepest_m = look.x_m;
    }
    double n = 0.0, sx = 0.0, sy = 0.0, sxx = 0.0, sxy = 0.0;
    for (const PlacedLook& look : looks) {
        if (!near_end(look) || sign * (look.x_m - deepest_m) < 0.0) continue;
        n += 1.0;
        sx += look.x_m;
        sy += look.share;
        sxx += look.x_m * look.x_m;
        sxy += look.x_m * look.share;
    }
    const double spread = n * sxx - sx * sx;
    if (n < 2.0 || spread < 1e-6) return std::nullopt;
    const double slope = (n * sxy - sx * sy) / spread;
    if (sign * slope >= -1e-3) return std::nullopt;
    return sx / n - sy / n / slope;
}

// `beyond`: the nearest look past the end, if any; `outermost` the last that shows water.
WaterEndSeen end_of(const WaterRun& run, const PlacedLook* beyond, double sign) {
    constexpr double kFurthest_m = 0.5;
    const double last_m = sign > 0.0 ? run.looks.back().x_m : run.looks.front().x_m;
    WaterEndSeen end;
    const double gap_m = beyond == nullptr ? kFurthest_m : std::abs(beyond->x_m - last_m);
    end.seen = beyond != nullptr && gap_m <= 2.0 * kFurthest_m;
    const double reach_m = std::min(gap_m, kFurthest_m);
    end.x_m = last_m + sign * 0.5 * reach_m;
    const auto shore = shore_m(run.looks, sign);
    const std::size_t count = run.looks.size();
    const double last = std::min(run.looks[sign > 0.0 ? count - 1 : 0].share,
                                 run.looks[sign > 0.0 ? count - 2 : 1].share);
    // Looks pass over what is shallow: the first that shows none is not the end.
    constexpr double kPast_m = 0.15;
    if (rises_to_end(run, sign)) end.seen = false;
    if (last >= kAbrupt && (!shore || sign * (*shore - last_m) > reach_m + kPast_m)) {
        end.seen = false;
    }
    if (shore) {
        const double on_m = end.seen ? reach_m + kPast_m : kFurthest_m;
        end.x_m = last_m + sign * std::clamp(sign * (*shore - last_m), 0.0, on_m);
    }
    end.bound_m =
        std::hypot(std::max(kEndBound_m, 0.6 * reach_m), 2.0 * run.looks.front().ahead_sd_m);
    if (!end.seen) {
        if (!shore || beyond == nullptr) end.x_m = last_m;
        end.bound_m = std::max(end.bound_m, kUnseenBound_m);
    }
    return end;
}

// How many looks from one end on show a film that runs along the invert: shallow, and no deeper
// further on. `sign` 1 counts back from the far end.
std::size_t film_looks(std::span<const PlacedLook> looks, const std::vector<std::size_t>& chain,
                       double sign, double& film) {
    constexpr double kLeast_m = 0.35;
    constexpr double kMostRise = 0.02;
    constexpr double kMeanderShare = 0.025;  // share that a film changes as it meanders …
    constexpr double kMeander = 0.9;         // … or of its depth
    double least = 1.0;
    double most = 0.0;
    std::size_t longest = 0;
    double n = 0.0, sx = 0.0, sy = 0.0, sxx = 0.0, sxy = 0.0;
    for (std::size_t k = 0; k < chain.size(); ++k) {
        const PlacedLook& look = looks[sign > 0.0 ? chain[chain.size() - 1 - k] : chain[k]];
        const PlacedLook& first = looks[sign > 0.0 ? chain.back() : chain.front()];
        const double x = std::abs(look.x_m - first.x_m);
        n += 1.0;
        sx += x;
        sy += look.share;
        sxx += x * x;
        sxy += x * look.share;
        least = std::min(least, look.share);
        most = std::max(most, look.share);
        const double spread = n * sxx - sx * sx;
        if (n < 3.0 || x < kLeast_m || spread < 1e-9) continue;
        const double rise = (n * sxy - sx * sy) / spread * x;
        if (sy / n > kMostFilm || std::abs(rise) > kMostRise) continue;
        if (most - least > std::max(kMeanderShare, kMeander * sy / n)) continue;
        longest = k + 1;
        film = sy / n;
    }
    return longest;
}

// Without ends that are much fainter than the rest.
std::vector<std::size_t> without_faint_ends(std::span<const PlacedLook> looks,
                                            std::vector<std::size_t> chain) {
    std::vector<double> edges;
    edges.reserve(chain.size());
    for (const std::size_t i : chain) edges.push_back(looks[i].look.shores->edge);
    const double least = kFaintTail * quantile(edges, 0.75);
    const auto faint = [&](std::size_t i) {
        return looks[i].look.shores->edge < least && looks[i].share < kMostFilm;
    };
    while (!chain.empty() && faint(chain.back())) chain.pop_back();
    while (!chain.empty() && faint(chain.front())) chain.erase(chain.begin());
    return chain;
}

// Without the film that runs into the water and out of it; empty when there is nothing else.
std::vector<std::size_t> without_film(std::span<const PlacedLook> looks,
                                      const std::vector<std::size_t>& chain, bool& only_film) {
    double film = 0.0;
    const std::size_t before = film_looks(looks, chain, -1.0, film);
    const std::size_t after = film_looks(looks, chain, 1.0, film);
    only_film = false;
    if (before == 0 && after == 0) return chain;
    std::vector<std::size_t> rest;
    double deepest = 0.0;
    for (std::size_t k = before; k + after < chain.size(); ++k) {
        rest.push_back(chain[k]);
        deepest = std::max(deepest, looks[chain[k]].share);
    }
    only_film = before + after >= chain.size() || deepest < film + kAboveFilm;
    return rest;
}

// Whether deep water was lost sight of between two looks.
bool unseen_between(const PlacedLook& a, const PlacedLook& b) {
    constexpr double kLost_m = 0.35;
    return b.x_m - a.x_m > kLost_m && a.share >= kAbrupt && b.share >= kAbrupt;
}

struct Under {
    int looks = 0;
    double furthest_m = 0.0;
};

// Looks from under the water beyond one end of a chain that gets deeper towards it.
Under under_beyond(std::span<const PlacedLook> looks, const std::vector<std::size_t>& chain,
                   double sign) {
    Under under;
    const std::size_t end = sign > 0.0 ? chain.back() : chain.front();
    const PlacedLook& other = looks[sign > 0.0 ? chain.front() : chain.back()];
    if (looks[end].share < std::max(kGrowing, other.share)) return under;
    double last_m = looks[end].x_m;
    for (std::size_t i = end; sign > 0.0 ? i + 1 < looks.size() : i > 0;) {
        i = sign > 0.0 ? i + 1 : i - 1;
        if (std::abs(looks[i].x_m - last_m) > kBeforeUnder_m ||
            looks[i].state == WaterState::water) {
            break;
        }
        if (looks[i].state != WaterState::submerged) continue;
        ++under.looks;
        last_m = under.furthest_m = looks[i].x_m;
    }
    return under.looks >= kFewestUnder ? under : Under{};
}

void reach_under(const Under& under, WaterEndSeen& end, WaterRun& run) {
    if (under.looks == 0) return;
    end = {under.furthest_m, std::max(end.bound_m, kUnseenBound_m), false};
    run.under += under.looks;
}

WaterRun run_of(std::span<const PlacedLook> looks, const std::vector<std::size_t>& chain) {
    WaterRun run;
    for (const std::size_t i : chain) run.looks.push_back(looks[i]);
    // One look that is off is put right by its neighbours.
    constexpr double kOff = 0.04;
    for (std::size_t k = 1; k + 1 < chain.size(); ++k) {
        const double a = looks[chain[k - 1]].share;
        const double b = looks[chain[k]].share;
        const double c = looks[chain[k + 1]].share;
        const double middle = std::max(std::min(a, b), std::min(std::max(a, b), c));
        if (std::abs(b - middle) > kOff) run.looks[k].share = middle;
    }
    double deepest_m = 0.0;
    for (const PlacedLook& look : run.looks) {
        if (look.share <= run.deepest) continue;
        run.deepest = look.share;
        deepest_m = look.x_m;
        run.deepest_s = look.look.time_s;
    }
    for (std::size_t i = chain.front(); i < chain.back(); ++i) {
        run.under += looks[i].state == WaterState::submerged ? 1 : 0;
    }
    for (std::size_t k = 1; k < run.looks.size(); ++k) {
        run.deepest_unseen = run.deepest_unseen || unseen_between(run.looks[k - 1], run.looks[k]);
    }
    // Wall, or the film that was taken away.
    const auto dry = [&](std::size_t i) {
        return looks[i].state == WaterState::dry ||
               (looks[i].state == WaterState::water && looks[i].share < kMostFilm);
    };
    const PlacedLook* before = nullptr;
    for (std::size_t i = chain.front(); i > 0 && before == nullptr; --i) {
        if (dry(i - 1)) before = &looks[i - 1];
    }
    const PlacedLook* after = nullptr;
    for (std::size_t i = chain.back() + 1; i < looks.size() && after == nullptr; ++i) {
        if (dry(i)) after = &looks[i];
    }
    run.from = end_of(run, before, -1.0);
    run.to = end_of(run, after, 1.0);
    reach_under(under_beyond(looks, chain, -1.0), run.from, run);
    reach_under(under_beyond(looks, chain, 1.0), run.to, run);
    run.deepest_unseen = run.deepest_unseen || run.under > 0 || deepest_is_faint(run, deepest_m) ||
                         deepest_is_mirrored(run, deepest_m);
    // Where the deep end was lost, the deepest may lie beyond it.
    for (const auto* end : {&run.from, &run.to}) {
        const double share = (end == &run.from ? run.looks.front() : run.looks.back()).share;
        run.deepest_unseen = run.deepest_unseen || (!end->seen && share >= kAbrupt) ||
                             rises_to_end(run, end == &run.from ? -1.0 : 1.0);
    }
    return run;
}

}  // namespace

std::vector<WaterRun> water_runs(std::span<const PlacedLook> looks) {
    std::vector<WaterRun> runs;
    std::vector<std::vector<std::size_t>> chains;
    for (auto& whole : wet_chains(looks)) {
        auto chain = without_faint_ends(looks, std::move(whole));
        if (!chain.empty()) chains.push_back(std::move(chain));
    }
    for (const auto& chain : across_unseen(looks, std::move(chains))) {
        if (chain.size() < kFewestOfUnder) continue;
        bool only_film = false;
        const auto standing = without_film(looks, chain, only_film);
        if (!only_film && standing.size() < kFewestOfUnder) continue;
        WaterRun run = run_of(looks, only_film ? chain : standing);
        const std::size_t fewest = run.under >= kFewestUnder ? kFewestOfUnder : kFewestLooks;
        if (places(run.looks) < fewest || run.to.x_m - run.from.x_m < kLeastLength_m) continue;
        if (!only_film && run.deepest < kLeastDeepest) continue;
        run.shape = shape_of(run);
        // A film meanders; it does not rise in the middle.
        if (only_film && run.shape != WaterShape::sag) run.shape = WaterShape::even;
        run.odds = standing_odds(run);
        runs.push_back(std::move(run));
    }
    return runs;
}

}  // namespace sondeline
