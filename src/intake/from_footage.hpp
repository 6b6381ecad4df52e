// What the footage tells a job folder where its tables do not.
#pragma once

#include "sondeline/intake.hpp"

namespace sondeline {

struct FromFootage {
    std::optional<LengthUnit> unit = std::nullopt;  // of the counters in the pictures
    std::string date = {};                          // "2026-05-14"; empty: none
    std::string date_source = {};  // a clause: "the clock in the picture of a.mp4 shows it"
};

// As read_job_folder with that unit. A date that only the footage tells is the job's, dates its
// bare clock times, and is said in a finding.
Job read_job_folder_with(const std::filesystem::path& folder, const FromFootage& footage);

}  // namespace sondeline
