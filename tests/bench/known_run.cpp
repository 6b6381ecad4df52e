#include "bench/known_run.hpp"

#include <algorithm>
#include <memory>

#include "bench/field_run.hpp"
#include "grade/normal.hpp"

namespace bench {

made::Pipe random_pipe(int seed) {
    sondeline::grade::Draws draws("pipe " + std::to_string(seed));
    made::Pipe pipe;
    pipe.length_m = 10.0 + 30.0 * draws.uniform();
    pipe.slope = 0.005 + 0.025 * draws.uniform();
    pipe.bedding_sd_m = 0.005;
    return pipe;
}

KnownRun make_known_run(Half half, const made::Pipe& pipe, const made::Survey& survey,
                        int noise_seed) {
    if (half == Half::field) return make_field_run(pipe, survey, noise_seed);
    const auto run = std::make_shared<const made::Run>(made::make_run(pipe, survey, noise_seed));
    const auto invert_m = [run](double station_m) { return bedded_invert_m(*run, station_m); };
    return {run->lines, invert_m, pipe.length_m, run->gross};
}

const char* verdict(bool kept) {
    return kept ? "kept" : "MISSED";
}

double share(int part, int whole) {
    return static_cast<double>(part) / std::max(1, whole);
}

}  // namespace bench
