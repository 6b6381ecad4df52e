#include "appraisal/drops.hpp"
#include "appraisal/parts.hpp"

namespace sondeline {

namespace {

void tell_records(const std::vector<RecordCheck>& checks, Findings& findings) {
    for (const RecordCheck& check : checks) {
        Where where = where_is(check.claim.source);
        if (!check.likelier_unit.empty()) {
            where.column = "unit";
            findings.push_back({Severity::caution, where, check.words,
                                "Look at the paper for its unit, write it in the column unit and "
                                "process again. If the unit stands as it is, do not price or "
                                "approve from the paper."});
            continue;
        }
        const bool differs = check.verdict == RecordVerdict::short_of ||
                             check.verdict == RecordVerdict::longer ||
                             check.verdict == RecordVerdict::not_found;
        if (!differs) continue;
        findings.push_back(
            {Severity::caution, where, check.words,
             "Do not price or approve from the paper. Show both figures to the owner and the local "
             "health department."});
    }
}

// The list of quantities is priced by itself, and what it lacks is not seen in it.
void tell_not_priced(const Lines& lines, Findings& findings) {
    std::string runs;
    for (const AlignedRun& run : lines.runs) {
        if (!run.length_m) runs += (runs.empty() ? "" : ", ") + run.run.id.text;
    }
    if (runs.empty()) return;
    Where where;
    where.file = "quantities.csv";
    findings.push_back({Severity::caution, where,
                        "Runs without a length are in no row and in no sum: " + runs + ".",
                        "Measure them, or price them apart."});
}

// So that who prices from the list alone sees it too.
void mark_shared(const std::vector<SharedLine>& shared, std::vector<Quantity>& quantities) {
    for (Quantity& row : quantities) {
        for (const SharedLine& pair : shared) {
            if (row.run == pair.run)
                row.condition += "; may be the same pipe as " + pair.longer.text;
        }
    }
}

}  // namespace

Appraisal appraise(const Job& job, const Site& site, const Lines& lines, const Profiles& profiles,
                   const QuantityOptions& options) {
    Appraisal appraisal;
    const std::vector<SharedLine> shared = shared_lines(lines, profiles);
    tell_shared_lines(shared, site.job_unit, appraisal.findings);
    appraisal.records = check_records(job, site, lines, profiles, shared);
    tell_records(appraisal.records, appraisal.findings);
    appraisal.quantities = take_quantities(site, job, lines, profiles, options);
    mark_shared(shared, appraisal.quantities);
    tell_not_priced(lines, appraisal.findings);
    appraisal.depth_band_source = options.band_source;
    appraisal.replacements = stretches_to_replace(site, job, lines, profiles);
    appraisal.load_test = balance_load_test(job, site.job_unit, appraisal.findings);
    appraisal.drops = drops_at_structures(lines, profiles, site.job_unit, appraisal.findings);
    return appraisal;
}

}  // namespace sondeline
