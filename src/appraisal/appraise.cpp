#include "appraisal/drops.hpp"
#include "appraisal/parts.hpp"

namespace sondeline {

Appraisal appraise(const Job& job, const Site& site, const Lines& lines, const Profiles& profiles,
                   const QuantityOptions& options) {
    Appraisal appraisal;
    appraisal.records = check_records(job, site, lines, profiles);
    for (const RecordCheck& check : appraisal.records) {
        const bool differs = check.verdict == RecordVerdict::short_of ||
                             check.verdict == RecordVerdict::longer ||
                             check.verdict == RecordVerdict::not_found;
        if (!differs) continue;
        appraisal.findings.push_back(
            {Severity::caution, where_is(check.claim.source), check.words,
             "Do not price or approve from the paper. Show both figures to the owner and the local "
             "health department."});
    }
    appraisal.quantities = take_quantities(site, job, lines, profiles, options);
    appraisal.depth_band_source = options.band_source;
    appraisal.replacements = stretches_to_replace(site, job, lines, profiles);
    appraisal.load_test = balance_load_test(job, site.job_unit, appraisal.findings);
    appraisal.drops = drops_at_structures(lines, profiles, site.job_unit, appraisal.findings);
    return appraisal;
}

}  // namespace sondeline
