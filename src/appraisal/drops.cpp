#include "appraisal/drops.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "grade/phrases.hpp"

namespace sondeline {

namespace {

// Ports that differ by less are level for all that a box can be set (common practice, no source).
constexpr double level_m = 0.003;

// Depths and tapes that would have made a profile.
constexpr int fewest_depths = 3;

// Where a run meets the structure.
struct End {
    RunId run;
    bool takes_away = false;
    std::optional<Estimate> taped_m;  // rim down to invert
    double bore_m = 0.0;              // 0: not known
    std::optional<Bounded> invert_m;  // by the profile
    ZReference z_reference = ZReference::none;
    bool checked = true;       // false: depths were there, and with this tape they gave no profile
    bool to_next_box = false;  // a drop box, with another box at its far end
};

// The line by which a drop box passes on what its own trench does not take.
bool leads_on(const AlignedStructure& here, const std::optional<int>& far, const Lines& lines) {
    if (here.kind != StructureKind::drop_box || !far) return false;
    const StructureKind there = lines.structures[static_cast<std::size_t>(*far)].kind;
    return there == StructureKind::drop_box || there == StructureKind::distribution_box;
}

std::optional<Estimate> taped_at(const AlignedRun& run, VerticalKind kind) {
    const auto tape = std::ranges::find_if(
        run.vertical, [&](const StationedVertical& seen) { return seen.row.kind == kind; });
    return tape == run.vertical.end() ? std::nullopt : std::optional(tape->row.depth_m);
}

std::vector<End> ends_at(int structure, const Lines& lines, const Profiles& profiles) {
    const AlignedStructure& here = lines.structures[static_cast<std::size_t>(structure)];
    std::vector<End> ends;
    for (std::size_t i = 0; i < lines.runs.size(); ++i) {
        const AlignedRun& run = lines.runs[i];
        const GradedRun& graded = profiles.runs[i];
        const double bore_m = run.run.diameter_m.value_or(0.0);
        const bool checked = !graded.profile.empty() || graded.depth_rows_used < fewest_depths;
        if (run.run.from == structure) {
            ends.push_back({graded.id, graded.flow_with_push,
                            taped_at(run, VerticalKind::taped_start), bore_m,
                            graded.start_invert_m.value, graded.z_reference, checked,
                            leads_on(here, run.run.to, lines)});
        }
        if (run.run.to == structure && !run.stops_short) {
            ends.push_back({graded.id, !graded.flow_with_push,
                            taped_at(run, VerticalKind::taped_end), bore_m,
                            graded.end_invert_m.value, graded.z_reference, checked,
                            leads_on(here, run.run.from, lines)});
        }
    }
    return ends;
}

// Hardly any structure of such systems lets water fall further inside (common practice, no source):
// mostly a tape is in another unit.
constexpr double deepest_drop_m = 1.5;

// A box is set level to a centimetre or two; outlets a whole bore apart are mostly one whose tape
// was held to the top of the pipe (common practice, no source). Share of the bore.
constexpr double about_a_bore = 0.15;

bool looks_taped_to_top(const End& high, const End& low, double by_m) {
    return high.takes_away && low.takes_away && high.bore_m > 0.0 &&
           std::abs(by_m - high.bore_m) < about_a_bore * high.bore_m;
}

// A tape that contradicts the depths of its run may be off by all that it tells.
void reach_level(Bounded& drop_m) {
    drop_m.lo95 = std::min(drop_m.lo95, 0.0);
    drop_m.hi95 = std::max(drop_m.hi95, 0.0);
}

// How much lower `low` lies than `high`; empty where one of the two is not known.
std::optional<StructureDrop> drop_between(const End& high, const End& low) {
    StructureDrop drop;
    drop.from_run = high.run;
    drop.to_run = low.run;
    drop.between_outlets = high.takes_away;
    if (high.taped_m && low.taped_m) {
        const double by_m = low.taped_m->value - high.taped_m->value;
        const double off_m = normal_95 * std::hypot(low.taped_m->sd, high.taped_m->sd);
        drop.taped = true;
        drop.drop_m = {by_m, by_m - off_m, by_m + off_m};
        drop.top_doubted = looks_taped_to_top(high, low, by_m);
        if (drop.top_doubted) drop.drop_m.lo95 -= high.bore_m;
        if (!high.checked || !low.checked) reach_level(drop.drop_m);
        return drop;
    }
    if (!high.invert_m || !low.invert_m || high.z_reference != low.z_reference) return std::nullopt;
    const double by_m = high.invert_m->value - low.invert_m->value;
    drop.drop_m = {by_m,
                   by_m - std::hypot(high.invert_m->value - high.invert_m->lo95,
                                     low.invert_m->hi95 - low.invert_m->value),
                   by_m + std::hypot(high.invert_m->hi95 - high.invert_m->value,
                                     low.invert_m->value - low.invert_m->lo95)};
    return drop;
}

std::string give_or_take(const Bounded& drop_m, LengthUnit unit) {
    return ", give or take " + grade::height_words((drop_m.hi95 - drop_m.lo95) / 2.0, unit);
}

std::string doubted_words(const StructureDrop& drop, LengthUnit unit) {
    return fmt::format(
        "{} was taped {} lower than {}, about as much as the pipe is wide: {} may have been taped "
        "to the top of its pipe. Which of the two is the lower cannot be told.",
        drop.to_run.text, grade::height_words(drop.drop_m.value, unit), drop.from_run.text,
        drop.from_run.text);
}

std::string unchecked_words(const StructureDrop& drop, const End& high, const End& low,
                            LengthUnit unit) {
    return fmt::format(
        "{} was taped {} {} than {}. No profile of {} is given, as its tapes, depths and heights "
        "do not go together: which of the two lies lower cannot be told.",
        drop.to_run.text, grade::height_words(std::abs(drop.drop_m.value), unit),
        drop.drop_m.value < 0.0 ? "higher" : "lower", drop.from_run.text,
        low.checked ? high.run.text : low.run.text);
}

std::string words_of(const StructureDrop& drop, LengthUnit unit) {
    constexpr double nothing_m = 0.0005;
    const char* how = drop.taped ? "Both were taped from one rim." : "By the profiles of both.";
    const std::string by = grade::height_words(std::abs(drop.drop_m.value), unit);
    const std::string off = give_or_take(drop.drop_m, unit);
    if (!drop.between_outlets) {
        return fmt::format("{} leaves {} {} than {} comes in{}. {}", drop.to_run.text, by,
                           drop.drop_m.value < 0.0 ? "higher" : "lower", drop.from_run.text, off,
                           how);
    }
    if (drop.top_doubted) return doubted_words(drop, unit);
    const char* tells = drop.drop_m.lo95 > 0.0 ? "Water leaves by the lower one first."
                                               : "Which of the two is the lower cannot be told.";
    if (drop.drop_m.value < nothing_m) {
        return fmt::format("{} and {} leave at one height{}. {} {}", drop.to_run.text,
                           drop.from_run.text, off, how, tells);
    }
    return fmt::format("{} leaves {} lower than {}{}. {} {}", drop.to_run.text, by,
                       drop.from_run.text, off, how, tells);
}

// A drop box fills its own trench first; only what that does not take rises to the line to the next
// box (common practice, no source).
bool works_as_drop_box(const End& high, const End& low) {
    return high.takes_away && low.takes_away && high.to_next_box && !low.to_next_box;
}

void tell_drop_box(const StructureDrop& drop, LengthUnit unit, Findings& findings) {
    Finding finding;
    finding.severity = Severity::info;
    finding.where.structure = drop.structure.text;
    finding.what = fmt::format(
        "{} lies {} lower than {}{}, and takes water first. So a drop box works: what {} does not "
        "take rises and goes on to the next box by {}.",
        drop.to_run.text, grade::height_words(drop.drop_m.value, unit), drop.from_run.text,
        give_or_take(drop.drop_m, unit), drop.to_run.text, drop.from_run.text);
    finding.what_to_do =
        "Nothing, where the boxes stand in a row. If the two were to share the water alike, their "
        "outlets must be level: show it to the licensed installer.";
    findings.push_back(std::move(finding));
}

void tell(const StructureDrop& drop, LengthUnit unit, Findings& findings) {
    Finding finding;
    finding.severity = Severity::caution;
    finding.where.structure = drop.structure.text;
    if (!drop.between_outlets && drop.drop_m.hi95 < 0.0) {
        finding.what =
            fmt::format("{} leaves higher than {} comes in, by {}.", drop.to_run.text,
                        drop.from_run.text, grade::height_words(std::abs(drop.drop_m.value), unit));
        finding.what_to_do =
            "Tape both inverts again from the same point of the rim. If it is so, water stands in "
            "the structure and in the pipe before it: show it to a licensed installer.";
        findings.push_back(std::move(finding));
    } else if (drop.top_doubted) {
        finding.what = doubted_words(drop, unit);
        finding.what_to_do =
            "Tape both inverts again from one point of the rim, to the bottom of each pipe. If "
            "they lie so far apart, show it to the licensed installer.";
        findings.push_back(std::move(finding));
    } else if (drop.between_outlets && drop.drop_m.lo95 > level_m) {
        finding.what = fmt::format(
            "The outlets are not level: {} lies {} lower than {}{}. It takes water first.",
            drop.to_run.text, grade::height_words(drop.drop_m.value, unit), drop.from_run.text,
            give_or_take(drop.drop_m, unit));
        finding.what_to_do =
            "Show it to the licensed installer; the local rule says how level outlets must be.";
        findings.push_back(std::move(finding));
    }
}

void tell_far_apart(const StructureDrop& drop, LengthUnit unit, Findings& findings) {
    Finding finding;
    finding.severity = Severity::caution;
    finding.where.structure = drop.structure.text;
    finding.what = fmt::format(
        "The inverts taped of {} and {} lie {} apart inside this structure: one of them may be in "
        "another unit. No drop is told.",
        drop.from_run.text, drop.to_run.text,
        grade::height_words(std::abs(drop.drop_m.value), unit));
    finding.what_to_do =
        "Look at the units of both tapes, write them in the header, and process again.";
    findings.push_back(std::move(finding));
}

// The outlet that lies lowest, by tape where all were taped, else by the profiles.
const End* lowest_of(const std::vector<const End*>& outlets) {
    const End* lowest = nullptr;
    for (const End* outlet : outlets) {
        if (lowest == nullptr) {
            lowest = outlet;
            continue;
        }
        const auto drop = drop_between(*lowest, *outlet);
        if (drop && drop->drop_m.value > 0.0) lowest = outlet;
    }
    return lowest;
}

}  // namespace

std::vector<StructureDrop> drops_at_structures(const Lines& lines, const Profiles& profiles,
                                               LengthUnit unit, Findings& findings) {
    std::vector<StructureDrop> drops;
    for (std::size_t s = 0; s < lines.structures.size(); ++s) {
        const std::vector<End> ends = ends_at(static_cast<int>(s), lines, profiles);
        std::vector<const End*> inlets;
        std::vector<const End*> outlets;
        for (const End& end : ends) (end.takes_away ? outlets : inlets).push_back(&end);
        const auto add = [&](const End& high, const End& low) {
            auto drop = drop_between(high, low);
            if (!drop) return;
            drop->structure = lines.structures[s].id;
            if (drop->taped && std::abs(drop->drop_m.value) > deepest_drop_m) {
                tell_far_apart(*drop, unit, findings);
                return;
            }
            const bool checked = !drop->taped || (high.checked && low.checked);
            drop->words = checked ? words_of(*drop, unit) : unchecked_words(*drop, high, low, unit);
            if (checked && works_as_drop_box(high, low) && !drop->top_doubted &&
                drop->drop_m.lo95 > level_m) {
                tell_drop_box(*drop, unit, findings);
            } else {
                tell(*drop, unit, findings);
            }
            drops.push_back(std::move(*drop));
        };
        for (const End* inlet : inlets) {
            for (const End* outlet : outlets) add(*inlet, *outlet);
        }
        const End* lowest = lowest_of(outlets);
        for (const End* outlet : outlets) {
            if (outlet != lowest) add(*outlet, *lowest);
        }
    }
    return drops;
}

}  // namespace sondeline
