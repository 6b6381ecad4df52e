// Runs that may be one pipe pushed twice under two names.
#pragma once

#include "sondeline/appraisal.hpp"

namespace sondeline {

// Two runs that lie on one another in plan and depth.
struct SharedLine {
    RunId run;  // the shorter of the two
    RunId longer;
    double length_m = 0.0;  // in common
    double apart_m = 0.0;   // at most, over that length
};

// Every pair of runs whose lines in plan lie on one another within their bounds, or a bore, over
// more than half of the shorter one, two metres at least, and whose depths, where both are known,
// do not differ. Two pipes in one trench, such as a force main beside a sewer, may lie so too: it
// is a doubt. Runs that are not drawn, or drawn without bounds, are in no pair. Looks at every half
// metre of each run against every other run.
std::vector<SharedLine> shared_lines(const Lines& lines, const Profiles& profiles);

// What a sum over some runs holds twice where pairs among them are one pipe.
struct CountedTwice {
    SharedLine first;         // a pair among them
    std::vector<RunId> runs;  // that lie on a longer one among them
    double length_m = 0.0;
};

// Empty where no two of the runs, by their index in `lines`, lie on one another.
std::optional<CountedTwice> counted_twice(const std::vector<SharedLine>& shared, const Lines& lines,
                                          const std::vector<std::size_t>& indices);

// A sum of lengths, or of runs, withheld because of it, with what it is counted both ways.
Figure<Bounded> length_or_less(const CountedTwice& twice, double sum_m, LengthUnit unit);
Figure<Bounded> runs_or_fewer(const CountedTwice& twice, std::size_t runs);

// A caution for each pair.
void tell_shared_lines(const std::vector<SharedLine>& shared, LengthUnit unit, Findings& findings);

}  // namespace sondeline
