#include <algorithm>
#include <cctype>
#include <cmath>
#include <map>

#include <fmt/format.h>

#include "alignment/phrases.hpp"
#include "appraisal/parts.hpp"
#include "grade/phrases.hpp"
#include "terms/outward.hpp"
#include "terms/units.hpp"

namespace sondeline {

namespace {

// What a claim rounds to when it was written down: half a step of a whole foot or metre, and
// 2 per cent, the care with which such papers are drawn (common practice, no source).
double allowance(const RecordClaim& claim) {
    switch (claim.item) {
        case RecordItem::run_length:
        case RecordItem::total_trench_length:
            return std::max(0.5 * metres_per(LengthUnit::foot), 0.02 * claim.value);
        case RecordItem::depth: return 0.05;
        case RecordItem::slope: return 0.001;
        case RecordItem::tank_capacity: return 0.05 * claim.value;
        case RecordItem::number_of_laterals:
        case RecordItem::install_year: return 0.5;
    }
    return 0.0;
}

std::string lower(std::string text) {
    std::ranges::transform(text, text.begin(),
                           [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return text;
}

bool is_length(RecordItem item) {
    return item == RecordItem::run_length || item == RecordItem::total_trench_length;
}

struct Evidence {
    const Job& job;
    const Site& site;
    const Lines& lines;
    const Profiles& profiles;
    const std::vector<SharedLine>& shared;
};

bool is_trench(const SiteRun& run) {
    return run.kind == RunKind::lateral || run.kind == RunKind::trench;
}

// The runs that a claim speaks of: by id, by kind, or for an empty `of` the whole system, which for
// a trench length is every trench.
std::vector<std::size_t> runs_of(const RecordClaim& claim, const Site& site) {
    std::vector<std::size_t> indices;
    const std::string of = lower(claim.of);
    for (std::size_t i = 0; i < site.runs.size(); ++i) {
        const SiteRun& run = site.runs[i];
        const bool named = lower(run.id.text) == of || lower(std::string(word(run.kind))) == of ||
                           lower(std::string(word(run.kind))) + "s" == of;
        const bool of_all = claim.item != RecordItem::total_trench_length || is_trench(run);
        if (of.empty() ? of_all : named) indices.push_back(i);
    }
    return indices;
}

// Of a claim about a kind of runs, or about the trenches or laterals of the system: the first run
// whose kind is in doubt or not said, so that nobody knows whether it counts.
const SiteRun* in_doubt(const RecordClaim& claim, const Job& job, const Site& site) {
    const bool by_kind = claim.of.empty()
                             ? claim.item == RecordItem::total_trench_length ||
                                   claim.item == RecordItem::number_of_laterals
                             : std::ranges::none_of(site.runs, [&](const SiteRun& run) {
                                   return lower(run.id.text) == lower(claim.of);
                               });
    if (!by_kind || claim.item == RecordItem::tank_capacity) return nullptr;
    const auto is_said = [&](const SiteRun& one) {
        const auto typed = std::ranges::find(job.runs, one.id, &Run::id);
        return typed != job.runs.end() && typed->kind_said;
    };
    const auto run = std::ranges::find_if(site.runs, [&](const SiteRun& one) {
        return !one.kind_doubt.empty() || (one.kind == RunKind::other && !is_said(one));
    });
    return run == site.runs.end() ? nullptr : &*run;
}

// Runs that may go on beyond what was seen of them: what was found of a length is then the least
// there is, and of a depth or a slope a part.
struct SeenInPart {
    std::vector<std::string> stopped;     // the push did not reach the far end
    std::vector<std::string> end_untold;  // nothing tells that it did
    bool any() const { return !stopped.empty() || !end_untold.empty(); }
};

SeenInPart seen_in_part(const RecordClaim& claim, const Evidence& evidence) {
    SeenInPart part;
    if (claim.item == RecordItem::number_of_laterals || claim.item == RecordItem::tank_capacity) {
        return part;
    }
    for (const std::size_t i : runs_of(claim, evidence.site)) {
        const AlignedRun& run = evidence.lines.runs[i];
        if (run.stops_short) {
            part.stopped.push_back(run.run.id.text);
        } else if (!run.run.end_told && is_length(claim.item)) {
            part.end_untold.push_back(run.run.id.text);
        }
    }
    return part;
}

// Lengths add; their bounds add too, because runs of one reel share its error.
Figure<Bounded> summed_length(const Evidence& evidence, const std::vector<std::size_t>& indices) {
    Bounded sum;
    for (const std::size_t i : indices) {
        const AlignedRun& run = evidence.lines.runs[i];
        if (run.run.status == RunStatus::not_entered) {
            return withheld<Bounded>(fmt::format("run {} was not entered", run.run.id.text),
                                     "Open it and push it, then process again.");
        }
        if (!run.length_m) {
            return withheld<Bounded>(
                fmt::format("the length of run {} is not known", run.run.id.text),
                run.length_m.withheld.what_to_do);
        }
        sum.value += run.length_m->value;
        sum.lo95 += run.length_m->lo95;
        sum.hi95 += run.length_m->hi95;
    }
    if (const auto twice = counted_twice(evidence.shared, evidence.lines, indices)) {
        return length_or_less(*twice, sum.value, evidence.site.job_unit);
    }
    return figure(sum);
}

Figure<Bounded> measured_tank(const RecordClaim& claim, const Job& job) {
    const std::string of = lower(claim.of);
    for (const Structure& structure : job.structures) {
        const bool meant = of.empty() ? structure.kind == StructureKind::tank
                                      : lower(structure.id.text) == of ||
                                            lower(std::string(word(structure.kind))) == of;
        if (!meant || !structure.capacity_m3) continue;
        const double capacity = structure.capacity_m3->value;
        return figure(Bounded{capacity, 0.95 * capacity, 1.05 * capacity});
    }
    return withheld<Bounded>("no capacity was measured",
                             "Measure the tank's inside length, width and liquid depth from above, "
                             "without entering it.");
}

Figure<Bounded> measured_laterals(const Evidence& evidence) {
    const std::vector<std::size_t> laterals =
        runs_of({.item = RecordItem::total_trench_length}, evidence.site);
    if (const auto twice = counted_twice(evidence.shared, evidence.lines, laterals)) {
        return runs_or_fewer(*twice, laterals.size());
    }
    const auto count = static_cast<double>(laterals.size());
    return figure(Bounded{count, count, count});
}

Figure<Bounded> measured_depth(const Evidence& evidence, const std::vector<std::size_t>& indices) {
    Bounded range{0.0, 1e9, -1e9};
    for (const std::size_t i : indices) {
        const GradedRun& run = evidence.profiles.runs[i];
        if (!run.min_cover_m || !run.max_cover_m) {
            return withheld<Bounded>(fmt::format("run {} has no depths", run.id.text),
                                     "Take depths along it with the receiver, or tape an invert.");
        }
        range.lo95 = std::min(range.lo95, run.min_cover_m->lo95);
        range.hi95 = std::max(range.hi95, run.max_cover_m->hi95);
        range.value += (run.min_cover_m->value + run.max_cover_m->value) / 2.0;
    }
    range.value /= static_cast<double>(indices.size());
    return figure(range);
}

Figure<Bounded> measured_slope(const Evidence& evidence, const std::vector<std::size_t>& indices) {
    if (indices.size() != 1) {
        return withheld<Bounded>("the paper does not say which run it means",
                                 "Name one run in the column `of`.");
    }
    const Figure<Estimate>& slope = evidence.profiles.runs[indices.front()].slope;
    if (!slope) return withheld<Bounded>(slope.withheld.reason, slope.withheld.what_to_do);
    return figure(Bounded{slope->value, slope->value - normal_95 * slope->sd,
                          slope->value + normal_95 * slope->sd});
}

Figure<Bounded> measure(const RecordClaim& claim, const Evidence& evidence) {
    if (claim.item == RecordItem::tank_capacity) return measured_tank(claim, evidence.job);
    if (claim.item == RecordItem::install_year) {
        return withheld<Bounded>("a year cannot be measured", "Ask for the permit.");
    }
    if (const SiteRun* run = in_doubt(claim, evidence.job, evidence.site)) {
        return withheld<Bounded>(
            fmt::format("whether run {} counts is not known, as its kind is in doubt or not said",
                        run->id.text),
            "Correct the kind of that run, and process again.");
    }
    if (claim.item == RecordItem::number_of_laterals) return measured_laterals(evidence);
    const std::vector<std::size_t> indices = runs_of(claim, evidence.site);
    if (indices.empty()) return {};
    if (claim.item == RecordItem::depth) return measured_depth(evidence, indices);
    if (claim.item == RecordItem::slope) return measured_slope(evidence, indices);
    return summed_length(evidence, indices);
}

// Short or long only when the whole interval of the measurement lies beyond the claim and what it
// may have been rounded by.
RecordVerdict verdict_of(const RecordClaim& claim, const Bounded& measured) {
    const double slack = allowance(claim);
    if (measured.hi95 < claim.value - slack) return RecordVerdict::short_of;
    if (measured.lo95 > claim.value + slack) return RecordVerdict::longer;
    const double doubt = (measured.hi95 - measured.lo95) / 2.0;
    if (claim.item != RecordItem::depth && doubt > std::max(slack, 0.1 * std::abs(claim.value))) {
        return RecordVerdict::cannot_tell;
    }
    return claim.item == RecordItem::tank_capacity ? RecordVerdict::agrees_as_stated
                                                   : RecordVerdict::agrees;
}

// Of a pipe seen in part, only a length that is too long already is told of; one that agrees and
// whose end nobody contradicts stands.
RecordVerdict verdict_in_part(const RecordClaim& claim, const Bounded& measured,
                              const SeenInPart& part) {
    const RecordVerdict verdict = verdict_of(claim, measured);
    const bool agrees = verdict == RecordVerdict::agrees;
    const bool stands = is_length(claim.item)
                            ? verdict == RecordVerdict::longer || (agrees && part.stopped.empty())
                            : agrees;
    return stands ? verdict : RecordVerdict::cannot_tell;
}

bool disagrees(RecordVerdict verdict) {
    return verdict == RecordVerdict::short_of || verdict == RecordVerdict::longer;
}

// The unit in which a length that disagrees would agree: metres taken for feet or the reverse. Only
// a length measured to a few per cent tells; a looser one would fit by chance.
std::string likelier_unit(RecordClaim claim, const Bounded& measured) {
    constexpr double sharp = 0.05;
    const bool told = measured.hi95 - measured.lo95 <= 2.0 * sharp * measured.value;
    if (!is_length(claim.item) || !told) return "";
    const double read_m = claim.value;
    claim.value = read_m * foot_m;
    if (verdict_of(claim, measured) == RecordVerdict::agrees) return "ft";
    claim.value = read_m / foot_m;
    return verdict_of(claim, measured) == RecordVerdict::agrees ? "m" : "";
}

// A document that states another length rightly is hardly in another unit.
bool document_agrees(const RecordCheck& check, const std::vector<RecordCheck>& all) {
    return std::ranges::any_of(all, [&](const RecordCheck& other) {
        return other.claim.document == check.claim.document && is_length(other.claim.item) &&
               other.verdict == RecordVerdict::agrees;
    });
}

// A paper is written in one unit: where one of its lengths is in another, all that disagree may be.
void doubt_units(std::vector<RecordCheck>& checks) {
    std::map<std::string, std::string> unit_of_document;
    for (const RecordCheck& check : checks) {
        if (!disagrees(check.verdict) || document_agrees(check, checks)) continue;
        const std::string unit = likelier_unit(check.claim, *check.measured);
        if (!unit.empty()) unit_of_document.emplace(check.claim.document, unit);
    }
    for (RecordCheck& check : checks) {
        const auto found = unit_of_document.find(check.claim.document);
        if (found == unit_of_document.end() || !is_length(check.claim.item) ||
            !disagrees(check.verdict)) {
            continue;
        }
        check.likelier_unit = found->second;
        check.verdict = RecordVerdict::cannot_tell;
    }
}

std::string figure_words(const RecordClaim& claim, const Bounded& value, LengthUnit unit) {
    switch (claim.item) {
        case RecordItem::run_length:
        case RecordItem::total_trench_length: return length_words(value, unit);
        case RecordItem::depth:
            return fmt::format("between {:.1f} and {:.1f} {}",
                               rounded_down(value.lo95 / metres_per(unit), 1),
                               rounded_up(value.hi95 / metres_per(unit), 1), unit_symbol(unit));
        case RecordItem::slope:
            return fmt::format("{:.2f} % ({:.2f} to {:.2f})", 100.0 * value.value,
                               rounded_down(100.0 * value.lo95, 2),
                               rounded_up(100.0 * value.hi95, 2));
        case RecordItem::tank_capacity:
            return grade::job_unit_first(
                fmt::format("{:.0f} L", 1000.0 * value.value),
                fmt::format("{:.0f} US gal", value.value / m3_per_us_gallon), unit);
        case RecordItem::number_of_laterals:
        case RecordItem::install_year: return fmt::format("{:.0f}", value.value);
    }
    return "";
}

std::string claim_words(const RecordClaim& claim) {
    const bool whole = claim.item == RecordItem::run_length || claim.item == RecordItem::depth;
    std::string of = claim.of.empty() ? "" : " of " + claim.of;
    if (claim.of.empty() && whole) of = " of the whole system";
    const std::string paper = claim.document.empty() ? "The paper" : claim.document;
    return fmt::format("{} says {}{} {}", paper, word(claim.item), of, claim.as_written);
}

std::string words_in_part(const RecordCheck& check, const SeenInPart& part, LengthUnit unit) {
    const std::string why =
        part.stopped.empty()
            ? fmt::format("nothing tells that {} ends where its footage does",
                          alignment::list_words(part.end_untold))
            : fmt::format("the push of {} stopped short", alignment::list_words(part.stopped));
    return fmt::format(
        "{}; {} was found, but {}: {}.", claim_words(check.claim),
        figure_words(check.claim, *check.measured, unit), why,
        check.verdict == RecordVerdict::cannot_tell
            ? "what lies beyond was not seen, so that nothing is said of more or less"
            : "with what lies beyond it is more");
}

std::string check_words(const RecordCheck& check, LengthUnit unit) {
    const std::string claim = claim_words(check.claim);
    if (check.verdict == RecordVerdict::not_found) {
        return fmt::format("{}; nothing on the site answers to that.", claim);
    }
    if (!check.measured) {
        // Some reasons are clauses and some whole sentences.
        const std::string& reason = check.measured.withheld.reason;
        return fmt::format("{}; this cannot be checked: {}{}", claim, reason,
                           reason.ends_with('.') ? "" : ".");
    }
    const std::string found = figure_words(check.claim, *check.measured, unit);
    const bool counted = check.claim.item == RecordItem::tank_capacity;
    const std::string how = counted ? "stated on site" : "found";
    // "only 3 were found", "only 205.1 ft was found"
    const char* were =
        check.claim.item == RecordItem::number_of_laterals && check.measured->value != 1.0 ? "were"
                                                                                           : "was";
    if (!check.likelier_unit.empty()) {
        const bool itself = likelier_unit(check.claim, *check.measured) == check.likelier_unit;
        return fmt::format(
            "{}; found {}. {}: its unit looks wrong, so that nothing is said of "
            "more or less.",
            claim, found,
            itself ? fmt::format("With its figure in {} they would agree", check.likelier_unit)
                   : fmt::format("Another length of this paper agrees only when "
                                 "read in {}",
                                 check.likelier_unit));
    }
    switch (check.verdict) {
        case RecordVerdict::agrees:
        case RecordVerdict::agrees_as_stated:
            return fmt::format("{}; {} {}: they agree.", claim, how, found);
        case RecordVerdict::short_of:
            return fmt::format("{}; only {} {} {}.", claim, found, were, how);
        case RecordVerdict::longer:
            return fmt::format("{}; {} {} {}, more.", claim, found, were, how);
        case RecordVerdict::not_found:
        case RecordVerdict::cannot_tell: break;
    }
    return fmt::format("{}; {} was {}, too uncertain to tell.", claim, found, how);
}

}  // namespace

std::vector<RecordCheck> check_records(const Job& job, const Site& site, const Lines& lines,
                                       const Profiles& profiles,
                                       const std::vector<SharedLine>& shared) {
    const Evidence evidence{job, site, lines, profiles, shared};
    std::vector<RecordCheck> checks;
    for (const RecordClaim& claim : job.records) {
        RecordCheck check;
        check.claim = claim;
        check.measured = measure(claim, evidence);
        if (check.measured) {
            check.difference = check.measured->value - claim.value;
            const SeenInPart part = seen_in_part(claim, evidence);
            check.verdict = part.any() ? verdict_in_part(claim, *check.measured, part)
                                       : verdict_of(claim, *check.measured);
        } else if (check.measured.withheld.reason.empty()) {
            check.verdict = RecordVerdict::not_found;
        }
        checks.push_back(std::move(check));
    }
    doubt_units(checks);
    for (RecordCheck& check : checks) {
        const SeenInPart part = seen_in_part(check.claim, evidence);
        const bool in_part = part.any() && check.measured && check.likelier_unit.empty() &&
                             check.verdict != RecordVerdict::agrees;
        check.words =
            in_part ? words_in_part(check, part, site.job_unit) : check_words(check, site.job_unit);
    }
    return checks;
}

}  // namespace sondeline
