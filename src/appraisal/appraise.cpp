#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "appraisal/parts.hpp"

namespace sondeline {

std::string length_words(double length_m, LengthUnit unit, int decimals) {
    return fmt::format("{:.{}f} {}", length_m / metres_per(unit), decimals, unit_symbol(unit));
}

std::string length_words(const Bounded& length_m, LengthUnit unit) {
    const double per = metres_per(unit);
    const double half_width = (length_m.hi95 - length_m.lo95) / 2.0 / per;
    const int decimals =
        half_width > 0.0 ? std::clamp(static_cast<int>(std::ceil(-std::log10(half_width))), 0, 3)
                         : 1;
    return fmt::format("{:.{}f} {} ({:.{}f} to {:.{}f})", length_m.value / per, decimals,
                       unit_symbol(unit), length_m.lo95 / per, decimals, length_m.hi95 / per,
                       decimals);
}

Appraisal appraise(const Job& job, const Site& site, const Lines& lines, const Profiles& profiles) {
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
    appraisal.quantities = take_quantities(site, job, lines, profiles);
    appraisal.load_test = balance_load_test(job, appraisal.findings);
    return appraisal;
}

}  // namespace sondeline
