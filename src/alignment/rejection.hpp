// Which headings are left out of the final least squares, and what a rejected fix probably is.
#pragma once

#include "alignment/network.hpp"

namespace sondeline::alignment {

// Marks headings that are more probably outliers than not.
void mark_rejected_headings(const Network& network, NetworkData& data);

struct Suspicion {
    std::string may_be;  // both sentences
    std::string what_to_do;
    bool of_another_run = false;
};

// What a rejected fix may be: another station of its own run, another run, or that nothing fits.
// Suggests, never applies. `lines` has the adjusted runs with their points.
Suspicion what_it_may_be(const Site& site, const Lines& lines, int fix);

}  // namespace sondeline::alignment
