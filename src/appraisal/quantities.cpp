#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "appraisal/parts.hpp"

namespace sondeline {

namespace {

// Depth bands follow the steps at which digging changes: 4 ft (1.2 m, ladder) and 5 ft (1.5 m,
// protection against cave-in) of OSHA 29 CFR 1926.651 and .652; 3 m is a common limit of small
// excavators (common practice, no source).
constexpr std::array<double, 3> band_limits_m{1.2192, 1.524, 3.0};

// Trench as wide as the usual 2 ft bucket, vertical sides: a quantity to price from, not a design.
constexpr double trench_width_m = 0.6096;

std::size_t band_of(double depth_m) {
    return static_cast<std::size_t>(std::ranges::upper_bound(band_limits_m, depth_m) -
                                    band_limits_m.begin());
}

std::string band_words(std::size_t band, LengthUnit unit) {
    if (band == 0) return "under " + length_words(band_limits_m[0], unit, 1);
    if (band == band_limits_m.size()) return "over " + length_words(band_limits_m.back(), unit, 1);
    return fmt::format("{:.1f} to {}", band_limits_m[band - 1] / metres_per(unit),
                       length_words(band_limits_m[band], unit, 1));
}

std::optional<double> cover_at(const GradedRun& graded, double station_m) {
    const auto after =
        std::ranges::lower_bound(graded.profile, station_m, {}, &ProfilePoint::station_m);
    if (after == graded.profile.end() || !after->cover_m) return std::nullopt;
    return after->cover_m->value;
}

// Stations where a priced stretch ends: grade breaks, and changes of the depth band that last at
// least a metre, so that a pipe along a limit is not cut to pieces.
std::vector<double> cuts_of(const GradedRun& graded, double length_m) {
    constexpr double shortest_m = 1.0;
    std::vector<double> wanted;
    for (const Stretch& stretch : graded.stretches) wanted.push_back(stretch.to_m);
    for (std::size_t i = 1; i < graded.profile.size(); ++i) {
        const auto& before = graded.profile[i - 1];
        const auto& here = graded.profile[i];
        if (before.cover_m && here.cover_m &&
            band_of(before.cover_m->value) != band_of(here.cover_m->value)) {
            wanted.push_back(here.station_m);
        }
    }
    std::ranges::sort(wanted);
    std::vector<double> cuts{0.0};
    for (const double cut : wanted) {
        if (cut - cuts.back() >= shortest_m && length_m - cut >= shortest_m) cuts.push_back(cut);
    }
    cuts.push_back(length_m);
    return cuts;
}

std::string end_name(const Site& site, const std::optional<int>& index, const char* otherwise) {
    return index ? site.structures[static_cast<std::size_t>(*index)].id.text
                 : std::string(otherwise);
}

std::string station_name(double station_m, LengthUnit unit) {
    return "at " + length_words(station_m, unit, 1);
}

// What stands against the stretch: bellies, and notes other than fittings and ends.
std::string condition_of(const Job& job, const Site& site, const AlignedRun& aligned,
                         const GradedRun& graded, std::pair<double, double> stretch_m) {
    std::string words;
    const auto add = [&](std::string_view text) {
        if (words.find(text) == std::string::npos)
            words += (words.empty() ? "" : "; ") + std::string(text);
    };
    for (const Belly& belly : graded.bellies) {
        if (belly.from_m < stretch_m.second && belly.to_m > stretch_m.first) add("holds water");
    }
    for (const SiteNote& placed : site.notes) {
        const Note& note = job.notes[static_cast<std::size_t>(placed.note)];
        const bool harmless =
            note.category == NoteCategory::fitting || note.category == NoteCategory::end ||
            note.category == NoteCategory::other || note.category == NoteCategory::standing_water;
        if (harmless || placed.run < 0 ||
            site.runs[static_cast<std::size_t>(placed.run)].id != aligned.run.id) {
            continue;
        }
        const double station_m = station_of_x(aligned, placed.x_m);
        if (station_m >= stretch_m.first - 0.1 && station_m <= stretch_m.second + 0.1) {
            add(word(note.category));
        }
    }
    return words.empty() ? "no defect noted" : words;
}

// Depth to the invert, averaged over the stretch; empty when any of it was not measured.
std::optional<double> mean_cover_m(const GradedRun& graded, double from_m, double to_m) {
    constexpr int steps = 20;
    double sum = 0.0;
    for (int i = 0; i < steps; ++i) {
        const auto cover = cover_at(graded, from_m + (to_m - from_m) * (i + 0.5) / steps);
        if (!cover) return std::nullopt;
        sum += *cover;
    }
    return sum / steps;
}

}  // namespace

std::vector<Quantity> take_quantities(const Site& site, const Job& job, const Lines& lines,
                                      const Profiles& profiles) {
    std::vector<Quantity> quantities;
    for (std::size_t i = 0; i < lines.runs.size(); ++i) {
        const AlignedRun& aligned = lines.runs[i];
        const GradedRun& graded = profiles.runs[i];
        if (!aligned.length_m) continue;
        const Bounded total = *aligned.length_m;
        const std::vector<double> cuts = cuts_of(graded, total.value);
        for (std::size_t k = 0; k + 1 < cuts.size(); ++k) {
            const double from_m = cuts[k];
            const double to_m = cuts[k + 1];
            const double share = total.value > 0.0 ? (to_m - from_m) / total.value : 1.0;
            Quantity row;
            row.run = aligned.run.id;
            row.from_id = k == 0 ? end_name(site, aligned.run.from, "start")
                                 : station_name(from_m, site.job_unit);
            row.to_id = k + 2 == cuts.size() ? end_name(site, aligned.run.to, "blind end")
                                             : station_name(to_m, site.job_unit);
            row.kind = aligned.run.kind;
            row.status = aligned.run.status;
            row.diameter_m = aligned.run.diameter_m;
            row.material = aligned.run.material;
            row.from_station_m = from_m;
            row.to_station_m = to_m;
            row.length_m = {to_m - from_m, share * total.lo95, share * total.hi95};
            const auto cover_m = mean_cover_m(graded, from_m, to_m);
            row.depth_band =
                cover_m ? band_words(band_of(*cover_m), site.job_unit) : "not measured";
            row.trench_width_m = trench_width_m;
            if (cover_m) row.trench_volume_m3 = *cover_m * trench_width_m * (to_m - from_m);
            row.condition = condition_of(job, site, aligned, graded, {from_m, to_m});
            quantities.push_back(std::move(row));
        }
    }
    return quantities;
}

}  // namespace sondeline
