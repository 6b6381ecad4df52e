#include "survey/tape_units.hpp"

#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "terms/quantile.hpp"
#include "terms/units.hpp"

namespace sondeline {

namespace {

// Depths that a sewer of a lot may have. Common practice, no source.
constexpr double least_usual_m = 0.15;
constexpr double most_usual_m = 3.5;
constexpr double evenness = 1.5;  // of the depth at an end to the middle one along the run
constexpr std::size_t enough_depths = 2;

struct TapeUnit {
    std::string_view name;
    std::string_view short_name;
    double metres = 1.0;
};
constexpr std::array<TapeUnit, 3> taped_in{
    {{"inches", "in", inch_m}, {"centimetres", "cm", 0.01}, {"millimetres", "mm", 0.001}}};

// Of the run's own fixes, else of all; empty where they are no depths of a sewer.
std::optional<double> usual_depth_m(const std::vector<SiteFix>& fixes, int run) {
    std::vector<double> own;
    std::vector<double> all;
    for (const SiteFix& fix : fixes) {
        if (!fix.depth_m) continue;
        all.push_back(fix.depth_m->value);
        if (fix.run == run) own.push_back(fix.depth_m->value);
    }
    const std::vector<double>& depths = own.size() >= enough_depths ? own : all;
    if (depths.size() < enough_depths) return std::nullopt;
    const double middle = quantile(depths, 0.5);
    return middle > least_usual_m && middle < most_usual_m ? std::optional(middle) : std::nullopt;
}

// The one unit in which a figure read in the job's would agree with the depths; else null.
const TapeUnit* unit_that_fits(double taped_m, LengthUnit unit, double usual_m) {
    if (taped_m < most_usual_m) return nullptr;
    const TapeUnit* found = nullptr;
    for (const TapeUnit& other : taped_in) {
        const double there_m = taped_m / metres_per(unit) * other.metres;
        if (there_m < usual_m / evenness || there_m > usual_m * evenness) continue;
        if (found != nullptr) return nullptr;
        found = &other;
    }
    return found;
}

struct Slip {
    const Cell<double>* tape = nullptr;
    VerticalKind kind = VerticalKind::taped_start;
    const TapeUnit* unit = nullptr;
};

std::vector<Slip> slips_of(const Run& run, LengthUnit unit, double usual_m) {
    std::vector<Slip> slips;
    const auto look = [&](const MaybeCell<double>& taped, VerticalKind kind) {
        if (!taped) return;
        const TapeUnit* fits = unit_that_fits(taped->value, unit, usual_m);
        if (fits != nullptr) slips.push_back({&*taped, kind, fits});
    };
    look(run.start_invert_depth_m, VerticalKind::taped_start);
    look(run.end_invert_depth_m, VerticalKind::taped_end);
    return slips;
}

// Those told in one finding.
std::vector<std::vector<Slip>> by_unit(const std::vector<Slip>& slips) {
    std::vector<std::vector<Slip>> groups;
    for (const Slip& slip : slips) {
        if (groups.empty() || groups.back().front().unit != slip.unit) groups.emplace_back();
        groups.back().push_back(slip);
    }
    return groups;
}

Finding finding_of(const Run& run, const std::vector<Slip>& slips, LengthUnit unit,
                   double usual_m) {
    const bool one = slips.size() == 1;
    Where where = where_is(slips.front().tape->source);
    where.run = run.id.text;
    const std::string figures =
        one ? length_words(slips[0].tape->value, unit, 1)
            : fmt::format("{} and {}", length_words(slips[0].tape->value, unit, 1),
                          length_words(slips[1].tape->value, unit, 1));
    return {Severity::problem, where,
            fmt::format("The invert{} taped of this run, {}, lie{} deeper than sewers do, and the "
                        "depths located here are about {}. In {} {} would fit. {} not used.",
                        one ? "" : "s", figures, one ? "s" : "", length_words(usual_m, unit, 1),
                        slips[0].unit->name, one ? "it" : "they", one ? "It was" : "They were"),
            fmt::format("Write the unit beside the figure, like {:.5g} {}, or in the header of the "
                        "column, and process again.",
                        slips[0].tape->value / metres_per(unit), slips[0].unit->short_name),
            Consequence::input_rejected};
}

}  // namespace

void leave_out_tapes_in_another_unit(const Job& job, LengthUnit unit,
                                     const std::vector<SiteFix>& fixes, std::vector<SiteRun>& runs,
                                     Findings& findings) {
    for (std::size_t r = 0; r < runs.size(); ++r) {
        const auto usual_m = usual_depth_m(fixes, static_cast<int>(r));
        if (!usual_m) continue;
        const std::vector<Slip> slips = slips_of(job.runs[r], unit, *usual_m);
        for (const std::vector<Slip>& told : by_unit(slips)) {
            findings.push_back(finding_of(job.runs[r], told, unit, *usual_m));
        }
        for (const Slip& slip : slips) {
            std::erase_if(runs[r].vertical,
                          [&](const VerticalObservation& row) { return row.kind == slip.kind; });
        }
    }
}

}  // namespace sondeline
