// What to say of a level book.
#pragma once

#include "survey/levelling.hpp"

namespace sondeline {

// A reading or benchmark, and by how much it seems to be off.
struct LevelSuspect {
    std::optional<int> sight;  // index into LevelBook::sights; empty: a benchmark
    int benchmark = -1;        // index into LevelBook::benchmarks, read when `sight` is empty
    double off_m = 0.0;        // as read less as it should be
};

// The table is too long for one adjustment.
void tell_too_many_levels(std::size_t readings, std::size_t most, Findings& findings);

void tell_unreached_levels(const LevelBook& book, const ReachedLevels& reached, Findings& findings);
void tell_left_out(const LevelBook& book, const LevelSuspect& suspect, LengthUnit unit,
                   Findings& findings);

// How the loops close, and which do not. The sd of one reading tells what is to be expected.
void tell_closure(const LevelNet& net, const LevelOptions& options, Findings& findings);

// |closure| over what a loop of its length may show by chance, one sd.
double closure_in_sd(const LevelLoop& loop, const LevelOptions& options);

}  // namespace sondeline
