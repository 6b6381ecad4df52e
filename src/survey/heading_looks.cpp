#include "survey/heading_looks.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace sondeline {

std::vector<HeadingLook> heading_looks(const std::vector<SiteFix>& fixes) {
    constexpr double shortest_line_m = 1.0;
    std::map<int, std::vector<const SiteFix*>> by_run;
    for (const SiteFix& fix : fixes) {
        if (fix.run >= 0 && fix.position && fix.placing != FixPlacing::unplaced) {
            by_run[fix.run].push_back(&fix);
        }
    }
    std::vector<HeadingLook> all;
    for (auto& [run, placed] : by_run) {
        std::ranges::stable_sort(placed, {}, &SiteFix::x_m);
        for (std::size_t i = 0; i < placed.size(); ++i) {
            const PlanPoint& from = placed[i > 0 ? i - 1 : i]->position->at;
            const PlanPoint& to = placed[std::min(i + 1, placed.size() - 1)]->position->at;
            const double east_m = to.e_m - from.e_m;
            const double north_m = to.n_m - from.n_m;
            if (!placed[i]->heading || !(std::hypot(east_m, north_m) > shortest_line_m)) continue;
            all.push_back({placed[i]->heading->rad, std::atan2(east_m, north_m)});
        }
    }
    return all;
}

}  // namespace sondeline
