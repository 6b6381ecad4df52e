#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "appraisal/parts.hpp"

namespace sondeline {

namespace {

std::size_t band_of(const std::vector<double>& limits_m, double depth_m) {
    return static_cast<std::size_t>(std::ranges::upper_bound(limits_m, depth_m) - limits_m.begin());
}

std::string band_words(const std::vector<double>& limits_m, std::size_t band, LengthUnit unit) {
    if (limits_m.empty()) return "any depth";
    if (band == 0) return "under " + length_words(limits_m.front(), unit, 1);
    if (band == limits_m.size()) return "over " + length_words(limits_m.back(), unit, 1);
    return fmt::format("{:.1f} to {}", limits_m[band - 1] / metres_per(unit),
                       length_words(limits_m[band], unit, 1));
}

double to_tenths_of_a_millimetre(double station_m) {
    return std::round(station_m * 1e4) / 1e4;
}

// Stations where a priced stretch ends: grade breaks, and changes of the depth band that last at
// least a metre, so that a pipe along a limit is not cut to pieces.
std::vector<double> cuts_of(const GradedRun& graded, double length_m,
                            const std::vector<double>& limits_m) {
    constexpr double shortest_m = 1.0;
    std::vector<double> wanted;
    for (const Stretch& stretch : graded.stretches) wanted.push_back(stretch.to_m);
    for (std::size_t i = 1; i < graded.profile.size(); ++i) {
        const auto& before = graded.profile[i - 1];
        const auto& here = graded.profile[i];
        if (before.cover_m && here.cover_m &&
            band_of(limits_m, before.cover_m->value) != band_of(limits_m, here.cover_m->value)) {
            wanted.push_back(here.station_m);
        }
    }
    std::ranges::sort(wanted);
    std::vector<double> cuts{0.0};
    for (double cut : wanted) {
        cut = to_tenths_of_a_millimetre(cut);
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
    return length_words(station_m, unit, 1);
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
        if (!is_defect(note.category) || placed.run < 0 ||
            site.runs[static_cast<std::size_t>(placed.run)].id != aligned.run.id) {
            continue;
        }
        const double station_m = station_of_x(aligned, placed.x_m);
        if (station_m >= stretch_m.first - 0.1 && station_m <= stretch_m.second + 0.1) {
            add(word(note.category));
        }
    }
    const bool at_end = stretch_m.second >= aligned.length_m->value;
    if (aligned.stops_short && at_end) add("not measured to its far end");
    return words.empty() ? "no defect noted" : words;
}

struct Digging {
    Bounded mean_depth_m;
    Bounded area_m2;  // of the trench's cross-section, mean over the stretch
};

// A trench of width w and side slope s has the cross-section w·d + s·d² at depth d.
double cross_section_m2(double depth_m, const QuantityOptions& options) {
    const double dug_m = std::max(0.0, depth_m);
    return dug_m * (options.trench_width_m + options.side_slope * dug_m);
}

// Over a stretch; empty when the depth of any of it was not measured. The errors of neighbouring
// depths go together, so the mean keeps the bounds of its parts.
std::optional<Digging> digging(const GradedRun& graded, std::pair<double, double> stretch_m,
                               const QuantityOptions& options) {
    constexpr int steps = 20;
    Digging sum;
    for (int i = 0; i < steps; ++i) {
        const double share = (i + 0.5) / steps;
        const auto depth_m =
            cover_at(graded, stretch_m.first + (stretch_m.second - stretch_m.first) * share);
        if (!depth_m) return std::nullopt;
        for (double Bounded::*const part : {&Bounded::value, &Bounded::lo95, &Bounded::hi95}) {
            sum.mean_depth_m.*part += *depth_m.*part / steps;
            sum.area_m2.*part += cross_section_m2(*depth_m.*part, options) / steps;
        }
    }
    return sum;
}

void price_by_depth(Quantity& row, const GradedRun& graded, const QuantityOptions& options,
                    LengthUnit unit) {
    row.trench_width_m = options.trench_width_m;
    row.side_slope = options.side_slope;
    row.depth_band = "not measured";
    const auto dug = digging(graded, {row.from_station_m, row.to_station_m}, options);
    if (!dug) return;
    const auto& limits_m = options.band_limits_m;
    row.depth_m = dug->mean_depth_m;
    const std::size_t band = band_of(limits_m, dug->mean_depth_m.value);
    row.depth_band = band_words(limits_m, band, unit);
    const std::size_t deepest = band_of(limits_m, dug->mean_depth_m.hi95);
    for (std::size_t other = band_of(limits_m, dug->mean_depth_m.lo95); other <= deepest; ++other) {
        if (other == band) continue;
        row.other_bands +=
            (row.other_bands.empty() ? "" : "; ") + band_words(limits_m, other, unit);
    }
    // The least length at the least depth, the greatest at the greatest.
    row.trench_volume_m3 =
        Bounded{dug->area_m2.value * row.length_m.value, dug->area_m2.lo95 * row.length_m.lo95,
                dug->area_m2.hi95 * row.length_m.hi95};
}

}  // namespace

bool is_defect(NoteCategory category) {
    return category != NoteCategory::fitting && category != NoteCategory::end &&
           category != NoteCategory::cap && category != NoteCategory::other &&
           category != NoteCategory::standing_water;
}

std::optional<Bounded> cover_at(const GradedRun& graded, double station_m) {
    const auto after =
        std::ranges::lower_bound(graded.profile, station_m, {}, &ProfilePoint::station_m);
    if (after == graded.profile.end() || !after->cover_m) return std::nullopt;
    return after->cover_m;
}

std::vector<Quantity> take_quantities(const Site& site, const Job& job, const Lines& lines,
                                      const Profiles& profiles, const QuantityOptions& options) {
    std::vector<Quantity> quantities;
    for (std::size_t i = 0; i < lines.runs.size(); ++i) {
        const AlignedRun& aligned = lines.runs[i];
        const GradedRun& graded = profiles.runs[i];
        if (!aligned.length_m) continue;
        const Bounded total = *aligned.length_m;
        const std::vector<double> cuts = cuts_of(graded, total.value, options.band_limits_m);
        for (std::size_t k = 0; k + 1 < cuts.size(); ++k) {
            const double from_m = cuts[k];
            const double to_m = cuts[k + 1];
            const double share = total.value > 0.0 ? (to_m - from_m) / total.value : 1.0;
            Quantity row;
            row.run = aligned.run.id;
            row.from_id = k == 0 ? end_name(site, aligned.run.from, "start")
                                 : station_name(from_m, site.job_unit);
            row.to_id = k + 2 == cuts.size() && !aligned.stops_short
                            ? end_name(site, aligned.run.to,
                                       aligned.run.end_told ? "blind end" : "end not told")
                            : station_name(to_m, site.job_unit);
            row.kind = aligned.run.kind;
            row.status = aligned.run.status;
            row.diameter_m = aligned.run.diameter_m;
            row.material = aligned.run.material;
            row.from_station_m = from_m;
            row.to_station_m = to_m;
            row.length_m = {to_m - from_m, share * total.lo95, share * total.hi95};
            price_by_depth(row, graded, options, site.job_unit);
            row.condition = condition_of(job, site, aligned, graded, {from_m, to_m});
            quantities.push_back(std::move(row));
        }
    }
    return quantities;
}

}  // namespace sondeline
