#include "pipeline/heights_read_once.hpp"

#include <algorithm>

namespace sondeline {

std::vector<HeightReadOnce> heights_read_once(const Job& job, const Site& site) {
    std::vector<HeightReadOnce> all;
    for (std::size_t i = 0; i < site.structures.size(); ++i) {
        const SiteStructure& structure = site.structures[i];
        if (structure.ground_source != "levelled" || !structure.ground_m) continue;
        const auto reads = [&](const LevelReading& row) { return row.point == structure.id.text; };
        if (std::ranges::count_if(job.levels, reads) != 1) continue;
        const auto row = std::ranges::find_if(job.levels, reads);
        if (!row->foresight_m || row->backsight_m || row->elevation_m) continue;
        all.push_back({static_cast<int>(i), row->setup});
    }
    return all;
}

}  // namespace sondeline
