// Runs whose invert is known as it lies, for the benches of grading, from two generators.
#pragma once

#include <functional>

#include "grade/made_run.hpp"

namespace bench {

// Seeds up to 999,999 are judged; thresholds are set on those from 1,000,000 on.
struct Seeds {
    int runs = 300;
    int first = 0;
};

// Half of the runs lie and are measured as grading imagines it (grade/made_run.hpp), half know
// nothing of that (field_run.hpp).
enum class Half { imagined, field };

struct KnownRun {
    sondeline::Lines lines;
    std::function<double(double)> invert_m;  // at a station, as the pipe lies
    double length_m = 0.0;
    std::vector<std::string> gross;  // sources of the depths that are off

    double slope() const { return (invert_m(0.0) - invert_m(length_m)) / length_m; }
};

// A pipe of 10 to 40 m at 0.5 to 3 %, straight but for its bedding.
made::Pipe random_pipe(int seed);

KnownRun make_known_run(Half half, const made::Pipe& pipe, const made::Survey& survey,
                        int noise_seed);

// "kept" or "MISSED".
const char* verdict(bool kept);

double share(int part, int whole);  // 0 of nothing

}  // namespace bench
