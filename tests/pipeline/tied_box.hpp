// An invented site whose box is held by two tapes, one of which may be misread.
#pragma once

#include <cmath>

#include "made/random_jobs.hpp"
#include "survey/ties.hpp"

namespace sondeline::made {

struct TiedBox {
    Site site;
    PlanPoint true_at;
    int box = -1;
};

// Marks lie 10 m from the box, so that the tapes cross at 106° (sides 10, 10, 16); the tape from
// the first was read `slip_m` too long.
inline TiedBox tied_box(std::uint64_t seed, const JobRecipe& recipe, double slip_m) {
    RandomJob job = random_job(seed, recipe);
    TiedBox tied;
    tied.site = std::move(job.site);
    tied.site.job_unit = LengthUnit::foot;
    for (std::size_t i = 0; i < tied.site.structures.size(); ++i) {
        if (tied.site.structures[i].id.text == "box") tied.box = static_cast<int>(i);
    }
    tied.true_at = job.true_structures[static_cast<std::size_t>(tied.box)];
    Dice dice(seed + 77);
    constexpr double tape_sd_m = 0.02;
    std::vector<TapedDistance> tapes;
    for (const double side : {-8.0, 8.0}) {
        const PlanPoint mark{tied.true_at.e_m + side, tied.true_at.n_m - 6.0};
        const double read_m = 10.0 + (side < 0.0 ? slip_m : 0.0) + dice.normal(tape_sd_m);
        SiteStructure nail;
        nail.id.text = side < 0.0 ? "west nail" : "east nail";
        nail.kind = StructureKind::reference;
        nail.surveyed = PlanFix{mark, round_covariance(0.01)};
        tied.site.structures.push_back(nail);
        const auto index = static_cast<int>(tied.site.structures.size()) - 1;
        tied.site.ties.push_back({tied.box, index, {read_m, tape_sd_m}, "tie"});
        tapes.push_back({mark, round_covariance(0.01), read_m, tape_sd_m});
    }
    SiteStructure& box = tied.site.structures[static_cast<std::size_t>(tied.box)];
    box.surveyed = position_from_ties(tapes, TieSide::left, std::nullopt).position;
    box.how_fixed = "swing ties from west nail, east nail";
    return tied;
}

}  // namespace sondeline::made
