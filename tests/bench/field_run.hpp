// Runs that share nothing with what grading imagines of a pipe and of its depths but the memory of
// what wanders, so that the truth of a bench is not the estimator's own model:
//   pipe: its grade changes evenly from end to end (curved, no breaks) by 0.3 % (one standard
//     deviation); its bedding is two long waves of 12 to 30 m instead of unevenness over 2.5 m;
//   ground: undulates by 15 cm;
//   fixes: from half to one and a half of the spacing apart;
//   depths: scatter with the tails of Student's distribution with 4 degrees of freedom; half of the
//     variance that the receiver's errors share, constant and proportional, wanders with a memory
//     of 8 m; in half of the runs the soil changes somewhere, and with it what stays of the
//     proportional error; a depth that scatters by more than three times what was stated is off;
//   tapes: read to 3 mm (one standard deviation) and rounded to half inches;
//   level of the camera: scatters with the same tails.
#pragma once

#include "bench/known_run.hpp"

namespace bench {

// Length, mean slope, sags and size of the unevenness are those of the pipe.
KnownRun make_field_run(const made::Pipe& pipe, const made::Survey& survey, int seed);

}  // namespace bench
