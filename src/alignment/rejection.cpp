#include "alignment/rejection.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "alignment/phrases.hpp"
#include "alignment/robust_loss.hpp"

namespace sondeline::alignment {
namespace {

constexpr double reach_sd = 2.45;  // 95 % in two dimensions
constexpr double heading_reach_sd = 3.0;
constexpr double other_run_station_m = 2.0;
constexpr double own_station_apart_m = 0.3;  // nearer than this it is the station given

struct Nearest {
    double x_m = 0.0;
    double away_m = 0.0;
    double heading_rad = 0.0;
    double variance_m2 = 0.0;  // of the line there, mean of both axes
};

std::optional<Nearest> nearest_on(const AlignedRun& run, const PlanPoint& at) {
    std::optional<Nearest> best;
    for (std::size_t i = 1; i < run.points.size(); ++i) {
        const LinePoint& a = run.points[i - 1];
        const LinePoint& b = run.points[i];
        const double e = b.at.e_m - a.at.e_m;
        const double n = b.at.n_m - a.at.n_m;
        const double square = e * e + n * n;
        if (square <= 0.0) continue;
        const double along =
            std::clamp(((at.e_m - a.at.e_m) * e + (at.n_m - a.at.n_m) * n) / square, 0.0, 1.0);
        const double away =
            std::hypot(a.at.e_m + along * e - at.e_m, a.at.n_m + along * n - at.n_m);
        if (best && away >= best->away_m) continue;
        best = Nearest{.x_m = a.x_m + along * (b.x_m - a.x_m),
                       .away_m = away,
                       .heading_rad = a.heading_rad,
                       .variance_m2 = 0.5 * (b.cov.ee + b.cov.nn)};
    }
    return best;
}

bool fits(const SiteFix& fix, const Nearest& near) {
    const double own = 0.5 * (fix.position->cov.ee + fix.position->cov.nn);
    if (!(near.away_m <= reach_sd * std::sqrt(std::max(own, 0.0) + near.variance_m2))) {
        return false;
    }
    if (!fix.heading || !(fix.heading_sd_rad > 0.0)) return true;
    const double off = std::abs(std::sin(fix.heading->rad - near.heading_rad));
    return off <= std::sin(std::min(heading_reach_sd * fix.heading_sd_rad, 0.5 * std::numbers::pi));
}

}  // namespace

void mark_rejected_headings(const Network& network, NetworkData& data) {
    for (std::size_t r = 0; r < data.runs.size(); ++r) {
        const RunLine line(network.state.runs[r], place_of(network.problem, network.state, r));
        for (HeadingDatum& datum : data.runs[r].headings) {
            datum.rejected = state_of(datum, line).outlier_probability > 0.5;
        }
    }
}

Suspicion what_it_may_be(const Site& site, const Lines& lines, int index) {
    const SiteFix& fix = site.fixes[index];
    if (!fix.position) return {};
    const auto own = nearest_on(lines.runs[fix.run], fix.position->at);
    if (own && fits(fix, *own) && std::abs(own->x_m - fix.x_m) > own_station_apart_m) {
        return {fmt::format("It would fit this run at {} from the start instead of {}.",
                            length_words(own->x_m, site.job_unit),
                            length_words(fix.x_m, site.job_unit)),
                "Check the counter reading of this fix, correct it and process again."};
    }
    std::vector<std::string> others;
    for (std::size_t r = 0; r < lines.runs.size(); ++r) {
        if (static_cast<int>(r) == fix.run) continue;
        const auto near = nearest_on(lines.runs[r], fix.position->at);
        if (near && fits(fix, *near) && std::abs(near->x_m - fix.x_m) <= other_run_station_m) {
            others.push_back(lines.runs[r].run.id.text);
        }
    }
    if (others.size() == 1) {
        return {fmt::format("It would fit run {}.", others[0]),
                "Check which run was being located, correct the fix's run and process again.",
                true};
    }
    if (!others.empty()) {
        return {fmt::format("It would fit any of the runs {}.", list_words(others)),
                "Check which run was being located, correct the fix's run and process again.",
                true};
    }
    return {"It fits no other station and no other run: the position itself may be wrong.",
            "Check the position in the table against the receiver's own record, or take it again."};
}

}  // namespace sondeline::alignment
