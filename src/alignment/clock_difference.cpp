#include "alignment/clock_difference.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "alignment/network.hpp"
#include "alignment/robust_loss.hpp"

namespace sondeline::alignment {
namespace {

constexpr int fewest_fixes = 4;
constexpr double least_way_m = 3.0;  // between the outermost fixes of a run
constexpr double clock_sd_s = 60.0;
constexpr double decides = 9.0;
constexpr double elsewhere_m = 0.5;
constexpr double thinned_m = 0.25;
constexpr std::size_t most_adjusted = 24;
constexpr double before_start_m = 1.0;
constexpr double beyond_end_m = 0.5;

using Stations = std::vector<std::optional<double>>;  // of the fixes given by clock

// Largest difference of a station; infinite when one has a fix the other has not.
double apart_m(const Stations& a, const Stations& b) {
    double most = 0.0;
    for (std::size_t i = 0; i < a.size(); ++i) {
        if (a[i].has_value() != b[i].has_value()) return std::numeric_limits<double>::infinity();
        if (a[i]) most = std::max(most, std::abs(*a[i] - *b[i]));
    }
    return most;
}

struct Tried {
    double ahead_s = 0.0;
    Stations x_m;
    double score = 0.0;
    std::size_t order = 0;  // among all differences that were thought of, by size
};

class Clocks {
  public:
    Clocks(const Site& site, const std::string& reel) : site_(site) {
        double least_step = 2.0;
        for (std::size_t i = 0; i < site.fixes.size(); ++i) {
            const SiteFix& fix = site.fixes[i];
            if (fix.run < 0 || fix.clock_course.x_m.size() < 3 || !fix.position) continue;
            if (!(fix.clock_course.step_s > 0.0)) continue;
            if (site.runs[static_cast<std::size_t>(fix.run)].reel != reel) continue;
            fixes_.push_back(i);
            farthest_s_ =
                std::max(farthest_s_, 0.5 * fix.clock_course.step_s *
                                          static_cast<double>(fix.clock_course.x_m.size() - 1));
            least_step = std::min(least_step, fix.clock_course.step_s);
        }
        step_s_ = least_step;
    }

    ClockDifference tell() {
        ClockDifference out;
        out.fixes = static_cast<int>(fixes_.size());
        if (out.fixes < fewest_fixes) return out;
        const Tried equal = tried(0.0);
        std::vector<Tried> all = promising();
        if (all.empty()) return out;
        for (Tried& one : all) one.score = score_of_clocks(one);
        Tried best = *std::ranges::min_element(all, {}, &Tried::score);
        best = refined(best);
        const double as_it_is = score_of_clocks(equal);
        out.verdict = ClockDifference::Verdict::agree;
        if (apart_m(best.x_m, equal.x_m) < thinned_m || as_it_is < best.score + decides) return out;
        if (has_rival(all, best)) {
            out.verdict = ClockDifference::Verdict::cannot_tell;
            return out;
        }
        out.verdict = ClockDifference::Verdict::differ;
        out.ahead_s = best.ahead_s;
        out.sd_s = half_width_s(best);
        return out;
    }

  private:
    Tried tried(double ahead_s) const {
        Tried out;
        out.ahead_s = ahead_s;
        for (const std::size_t i : fixes_) {
            out.x_m.push_back(station_by_clock(site_, site_.fixes[i], ahead_s));
        }
        return out;
    }

    // Enough fixes have a station, and they lie apart along some run.
    bool moves(const Stations& x_m) const {
        int placed = 0;
        bool apart = false;
        for (std::size_t i = 0; i < x_m.size(); ++i) {
            if (!x_m[i]) continue;
            ++placed;
            for (std::size_t j = 0; j < i; ++j) {
                const bool same_run = site_.fixes[fixes_[i]].run == site_.fixes[fixes_[j]].run;
                apart = apart || (same_run && x_m[j] && std::abs(*x_m[i] - *x_m[j]) >= least_way_m);
            }
        }
        return placed >= fewest_fixes && apart;
    }

    // Differences that put some fix noticeably elsewhere than the one before; of many, those under
    // which distances between neighbouring fixes agree best with the way between them.
    std::vector<Tried> promising() const {
        std::vector<Tried> out;
        const int half = static_cast<int>(farthest_s_ / step_s_);
        for (int i = -half; i <= half; ++i) {
            Tried next = tried(i * step_s_);
            if (!moves(next.x_m)) continue;
            if (!out.empty() && apart_m(out.back().x_m, next.x_m) < thinned_m) continue;
            next.score = misfit_of_chords(next);
            next.order = out.size();
            out.push_back(std::move(next));
        }
        std::ranges::stable_sort(out, {}, &Tried::score);
        if (out.size() > most_adjusted) out.resize(most_adjusted);
        return out;
    }

    // Another difference that explains the fixes about as well and puts them elsewhere, with worse
    // ones in between: a wide minimum is no doubt about which one, only about how exactly.
    bool has_rival(std::vector<Tried> all, const Tried& best) const {
        std::ranges::sort(all, {}, &Tried::order);
        std::vector<bool> good(all.empty() ? 0 : all.back().order + 1, false);
        for (const Tried& one : all) good[one.order] = one.score < best.score + decides;
        std::size_t from = best.order;
        std::size_t to = best.order;
        while (from > 0 && good[from - 1]) --from;
        while (to + 1 < good.size() && good[to + 1]) ++to;
        return std::ranges::any_of(all, [&](const Tried& one) {
            const bool beside = one.order >= from && one.order <= to;
            return good[one.order] && !beside && apart_m(one.x_m, best.x_m) > elsewhere_m;
        });
    }

    // A chord is as long as the way, less where the pipe bends; it is never longer.
    double misfit_of_chords(const Tried& clocks) const {
        constexpr double most_per_pair = 9.0;
        constexpr double station_sd = 0.1;
        double sum = std::pow(clocks.ahead_s / clock_sd_s, 2);
        for (std::size_t i = 0; i < fixes_.size(); ++i) {
            if (!clocks.x_m[i]) {
                sum += most_per_pair;
                continue;
            }
            const SiteFix& here = site_.fixes[fixes_[i]];
            std::optional<std::size_t> next;
            for (std::size_t j = 0; j < fixes_.size(); ++j) {
                if (!clocks.x_m[j] || site_.fixes[fixes_[j]].run != here.run) continue;
                if (*clocks.x_m[j] <= *clocks.x_m[i]) continue;
                if (!next || *clocks.x_m[j] < *clocks.x_m[*next]) next = j;
            }
            const SiteRun& run = site_.runs[here.run];
            if (!next && run.to && site_.structures[*run.to].surveyed && run.counter_length_m) {
                sum += pair_cost(*run.counter_length_m - *clocks.x_m[i], here,
                                 *site_.structures[*run.to].surveyed, station_sd, most_per_pair);
            }
            if (next) {
                const SiteFix& there = site_.fixes[fixes_[*next]];
                sum += pair_cost(*clocks.x_m[*next] - *clocks.x_m[i], here, *there.position,
                                 station_sd, most_per_pair);
            }
            if (run.from && site_.structures[*run.from].surveyed) {
                sum += pair_cost(*clocks.x_m[i], here, *site_.structures[*run.from].surveyed,
                                 station_sd, most_per_pair);
            }
        }
        return sum;
    }

    static double pair_cost(double way_m, const SiteFix& fix, const PlanFix& other,
                            double station_sd, double most) {
        const double chord =
            std::hypot(fix.position->at.e_m - other.at.e_m, fix.position->at.n_m - other.at.n_m);
        const double sd = std::sqrt(0.5 * (fix.position->cov.ee + fix.position->cov.nn) +
                                    0.5 * (other.cov.ee + other.cov.nn) + station_sd * station_sd);
        const double off = (chord - way_m) / sd;
        return std::min(off * off, most);
    }

    double score_of_clocks(const Tried& clocks) const {
        Site site = site_;
        std::vector<bool> asked(site.runs.size(), false);
        for (const std::size_t i : fixes_)
            asked[static_cast<std::size_t>(site.fixes[i].run)] = true;
        double left_out = 0.0;
        for (std::size_t i = 0; i < fixes_.size(); ++i) {
            SiteFix& fix = site.fixes[fixes_[i]];
            fix.placing = clocks.x_m[i] ? FixPlacing::by_clock : FixPlacing::unplaced;
            fix.x_m = clocks.x_m[i].value_or(0.0);
            fix.station_sd_m = station_reading_sd_m;
            if (clocks.x_m[i]) continue;
            const double ratio =
                tail_ratio_of(std::sqrt(0.5 * (fix.position->cov.ee + fix.position->cov.nn)));
            left_out += contaminated_position(2.0 * ratio * ratio, ratio).rho;
        }
        for (SiteFix& fix : site.fixes) {
            if (fix.run >= 0 && !asked[static_cast<std::size_t>(fix.run)]) {
                fix.placing = FixPlacing::unplaced;
            }
        }
        const NetworkData data = observed_on(site);
        const Network network = adjust_network(data);
        return score_of(network.problem, network.state, {}) + left_out +
               std::pow(clocks.ahead_s / clock_sd_s, 2);
    }

    // Down to half a second about the best of the steps.
    Tried refined(Tried best) const {
        for (const double by_s : {1.0, 0.5}) {
            for (const double way : {-1.0, 1.0}) {
                Tried next = tried(best.ahead_s + way * by_s);
                next.order = best.order;
                next.score = score_of_clocks(next);
                if (next.score < best.score) best = std::move(next);
            }
        }
        return best;
    }

    // Half of the stretch in which the score is within 1 of the best: one standard deviation.
    double half_width_s(const Tried& best) const {
        constexpr int farthest_s = 10;
        double width = 0.0;
        for (const double way : {-1.0, 1.0}) {
            for (int by_s = 1; by_s <= farthest_s; ++by_s) {
                width += 0.5;
                if (score_of_clocks(tried(best.ahead_s + way * by_s)) > best.score + 1.0) break;
            }
        }
        return width;
    }

    const Site& site_;
    std::vector<std::size_t> fixes_;
    double farthest_s_ = 0.0;
    double step_s_ = 2.0;
};

}  // namespace

std::optional<double> station_by_clock(const Site& site, const SiteFix& fix, double ahead_s) {
    const ClockCourse& course = fix.clock_course;
    const double at = ahead_s / course.step_s + 0.5 * static_cast<double>(course.x_m.size() - 1);
    if (course.x_m.empty() || !(at >= 0.0) || at > static_cast<double>(course.x_m.size() - 1)) {
        return std::nullopt;
    }
    const auto before = static_cast<std::size_t>(at);
    const std::size_t after = std::min(before + 1, course.x_m.size() - 1);
    const double share = at - static_cast<double>(before);
    if (!course.x_m[before] || (share > 0.0 && !course.x_m[after])) return std::nullopt;
    double x_m = *course.x_m[before];
    if (share > 0.0) x_m += share * (*course.x_m[after] - x_m);
    const auto length_m = measured_length_m(site.runs[fix.run]);
    if (x_m < -before_start_m || (length_m && x_m > *length_m + beyond_end_m)) return std::nullopt;
    return x_m;
}

ClockDifference clock_difference(const Site& site, const std::string& reel) {
    return Clocks(site, reel).tell();
}

}  // namespace sondeline::alignment
