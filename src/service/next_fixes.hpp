// Which further fix would help most, found by trying: a fix is added where the line is least
// certain or the depths lie farthest apart, and the job is fitted again.
#pragma once

#include "sondeline/service.hpp"

namespace sondeline {

// A job as fitted with what is known so far.
struct Fitted {
    Site site;
    GradeOptions grade;
    Lines lines;
    Profiles profiles;
};
Fitted fitted(Site site, GradeOptions grade);

// The least certain place of a line on the map.
struct LeastCertain {
    double station_m = 0.0;
    double x_m = 0.0;
    double sd_m = 0.0;  // long half axis of the ellipse
};
std::optional<LeastCertain> least_certain(const AlignedRun& run);

struct Suggestion {
    Where where;  // run, and station
    std::string words;
};

// At most two: the fix that would make the worst line surer, and the depth that would show a
// smaller belly. Only those that bring a quarter or more.
std::vector<Suggestion> next_fixes(const Fitted& now);

}  // namespace sondeline
