// All that is known of one run's invert before it is put into figures.
#pragma once

#include <optional>

#include "grade/flow.hpp"
#include "grade/sag_search.hpp"
#include "grade/sampling.hpp"
#include "grade/tape_slips.hpp"

namespace sondeline::grade {

struct Analysis {
    RunRows rows;
    Screening screening;
    Flow flow;
    // Empty when fewer than two inverts a metre apart are known, or tape and depths contradict.
    std::optional<Evidence> evidence;
    std::vector<TapeSlip> tape_slips;  // of which the samples hold their share
    std::optional<Samples> samples;
    std::optional<SagSearch> sags;
    // As those above, of depths and tapes alone; only where other rows were used as well.
    std::optional<Samples> samples_of_depths;
    std::optional<SagSearch> sags_of_depths;
    // Without the rows that still water gives; only where a level's were used beside them.
    std::optional<Samples> samples_without_water;
    Withheld why_no_profile;  // read when samples is empty

    double spacing_m() const { return samples->stations_m[1] - samples->stations_m[0]; }
};

Analysis analyse_run(const AlignedRun& run, const Flow& flow, RunRows rows);

// Index of the profile station nearest to a station.
Eigen::Index station_index(const Samples& samples, double station_m);

// Levels and benchmarks: z is a height, so that slopes and ponds mean something.
bool is_height(ZReference reference);

}  // namespace sondeline::grade
